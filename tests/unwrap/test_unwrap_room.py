"""Room left to the leather's limits: closed forms, Milnor's bound, and that nothing jumps as the slack runs out."""

import numpy as np
import pytest
from unwrap_shapes import calf, cap, cylinder, face_stretches, square

from flatten.unwrap.disk import flatten_disk
from flatten.unwrap.limits import RELAXATION, TO_CUT, TO_SHOW, allowed_excess, enough_excess
from flatten.unwrap.model import UNSOUGHT, Attainable, Limits
from flatten.unwrap.panel import flatten_panel

CASED = Limits(0.05, 0.05, 0.03, 0.03, "given")
BY_DIRECTION = Limits(0.08, 0.03, 0.04, 0.02, "given")


def reach(mesh, uv, limits=CASED) -> float:
    """The greatest log-excess of a face's stretch over limits that are the same in every direction."""
    stretch = np.log(face_stretches(mesh, uv))
    return float(
        max(stretch.max() - np.log(1 + limits.stretch_along), np.log(1 - limits.squeeze_along) - stretch.min())
    )


@pytest.mark.parametrize("room", [0.0, 0.3, 1.0])
def test_a_cylinders_slack_is_half_its_limits_ratio_and_its_room_that_share_of_it(room):
    panel = cylinder(24, 12, seed=None)
    flat = flatten_panel(panel, limits=CASED, room=room)
    slack = 0.5 * np.log(1.05 / 0.97)
    assert flat.excess == pytest.approx(-slack, abs=1e-6)
    assert flat.allowed == pytest.approx(max(-room * slack, -slack + RELAXATION), abs=1e-6)
    assert reach(panel.mesh, flat.uv) <= flat.allowed
    # Half-way and less the limits still hold an isometry; with all the room only the middle between them is left.
    middle = 0.0 if room < 1.0 else 0.5 * np.log(1.05 * 0.97)
    assert np.log(face_stretches(panel.mesh, flat.uv)) == pytest.approx(middle, abs=1e-6 if room < 1.0 else RELAXATION)


def test_room_is_left_in_the_direction_that_has_least_of_it():
    """On a flat plate that slack is −½ log min((1 + stretch) / (1 − squeeze)) over along and across."""
    flat = flatten_disk(square(), limits=BY_DIRECTION, room=0.5)
    assert flat.allowed == pytest.approx(-0.25 * np.log(1.03 / 0.98), abs=1e-6)


@pytest.mark.parametrize(("degrees", "bound"), [(30, 0.04612), (45, 0.10501)])
def test_with_all_the_room_a_cap_is_cut_with_hardly_more_than_milnors_bound(degrees, bound):
    """Least log ratio of scales on a cap of angular radius a: log(a / sin a).

    Published: Milnor, "A problem in cartography", Amer. Math. Monthly 76(10), 1101–1112, 1969.
    """
    wide = Limits(0.1, 0.1, 0.08, 0.08, "given")
    flat = flatten_disk(cap(2500, np.radians(degrees)), limits=wide, room=1.0)
    assert flat.excess < 0
    assert 0.995 * bound < flat.spread < 1.009 * bound + 2 * RELAXATION


def test_half_the_room_is_left_to_stretch_and_squeeze_alike_and_no_more_than_that_is_given_up():
    panel = calf(10.0)
    flats = [flatten_panel(panel, limits=CASED, room=room) for room in (0.0, 0.25, 0.5, 1.0)]
    energies = [flat.energy for flat in flats]
    assert energies == sorted(energies)
    for flat, room in zip(flats, (0.0, 0.25, 0.5, 1.0), strict=True):
        assert flat.converged
        assert flat.excess == flats[0].excess
        assert flat.allowed == allowed_excess(flat.excess, room=room)
        left = -reach(panel.mesh, flat.uv)
        assert left >= -flat.allowed
        # The limits hold the calf's map, so that it goes as far as it may, but for what the last barrier keeps it off.
        assert left <= -flat.allowed + 1e-4


def test_the_limits_are_shifted_by_what_a_coarser_mesh_has_found():
    coarse, panel = flatten_panel(calf(12.0), limits=CASED), calf(8.0)
    flat = flatten_panel(panel, limits=CASED, room=0.5, known=coarse.attainable)
    alone = flatten_panel(panel, limits=CASED, room=0.5)
    assert flat.attainable == coarse.attainable
    assert flat.allowed == 0.5 * coarse.excess
    assert flat.allowed != alone.allowed
    assert flat.converged
    assert flat.steps < 0.8 * alone.steps
    assert reach(panel.mesh, flat.uv) <= flat.allowed
    # A face more or less of slack moves the outline by less than its mesh does.
    np.testing.assert_allclose(flat.uv, alone.uv, atol=0.2)


@pytest.mark.parametrize("room", [0.0, 0.5, 1.0])
def test_what_may_be_exceeded_is_continuous_and_the_same_for_every_room_where_there_is_no_slack(room):
    least = np.linspace(-0.02, 0.02, 4001)
    allowed = np.array([allowed_excess(e, room=room) for e in least])
    assert np.all(np.diff(allowed) >= -1e-15)
    assert np.abs(np.diff(allowed)).max() <= 1e-5 * (1 + 1e-9)
    np.testing.assert_array_equal(allowed[least >= 0], least[least >= 0] + RELAXATION)
    assert allowed[0] == pytest.approx(max(-0.02 * room, -0.02 + RELAXATION))


@pytest.mark.parametrize("room", [0.0, 0.5, 0.9, 1.0])
@pytest.mark.parametrize("known", [-0.02, -0.002, -6e-4, -1e-4, 0.0, 0.01])
def test_a_mesh_that_stops_looking_early_is_held_to_the_same_as_one_that_does_not(known, room):
    """Whatever the finer mesh would find below what is enough, its cut map is held to one and the same excess."""
    enough = enough_excess(known, room=room)
    if np.isfinite(enough):
        held = {allowed_excess(least, room=room, known=known) for least in (enough - 1e-2, enough - 1e-9)}
        assert held == {room * known}
    # What it needs more than that moves the excess no faster than itself.
    below, above = (allowed_excess(known + d, room=room, known=known) for d in (-1e-6, 1e-6))
    assert 0.0 <= above - below <= 2e-6 * (1 + 1e-9)


def test_without_room_to_leave_a_mesh_stops_looking_where_its_cut_map_is_that_of_the_limits():
    enough = enough_excess(np.nan, room=0.0)
    assert allowed_excess(enough, room=0.0) == 0.0 < allowed_excess(enough + 1e-9, room=0.0)
    assert enough_excess(np.nan, room=0.5) == -np.inf


def test_a_preview_leaves_the_room_too():
    panel = calf(12.0)
    flat = flatten_panel(panel, limits=CASED, room=0.5, known=UNSOUGHT, accuracy=TO_SHOW)
    cut = flatten_panel(panel, limits=CASED, room=0.5)
    assert flat.allowed == pytest.approx(cut.allowed, abs=0.5 * 0.016 * 0.04)
    assert np.abs(flat.uv - cut.uv).max() < 0.6


def outline_move(panel, stretch: float, step: float, room: float, accuracy, shift: float) -> float:
    """How far the flat outline moves, mm, as the stretch limit grows by `step`.

    `shift` is what a coarser mesh has found, as the excess beyond this one's own; NaN: it was not asked.
    """
    flats = []
    for s in (stretch, stretch + step):
        limits, known = Limits(s, s, 0.03, 0.03, "given"), None
        if np.isfinite(shift):
            own = flatten_panel(panel, limits=limits)
            known = Attainable(own.excess + shift, own.spread_reachable)
        flats.append(flatten_panel(panel, limits=limits, room=room, accuracy=accuracy, known=known))
    return float(np.abs(flats[1].uv - flats[0].uv).max())


@pytest.mark.parametrize(
    ("room", "accuracy", "shift"),
    [(0.5, TO_CUT, np.nan), (1.0, TO_CUT, np.nan), (0.5, TO_SHOW, np.nan), (0.5, TO_CUT, -4e-4), (0.5, TO_CUT, 4e-4)],
)
def test_outlines_do_not_jump_as_the_slack_runs_out(room, accuracy, shift):
    """About the stretch limits at which slack, and at which more than RELAXATION of it, is there."""
    panel = calf(16.0)
    start = flatten_panel(panel, limits=CASED, accuracy=accuracy)
    # With equal limits the excess moves by half the shift of log(1 + stretch).
    turns = {0.0, RELAXATION, 2 * RELAXATION}
    for more in sorted(turns):
        just = float(np.exp(np.log(1.05) + 2 * (start.excess + more)) - 1)
        coarse, fine = (outline_move(panel, just - step / 2, step, room, accuracy, shift) for step in (1.6e-3, 1e-4))
        assert coarse < 1.5
        assert fine < coarse / 4 + 0.02


def test_a_little_more_room_moves_the_outline_a_little():
    panel = calf(16.0)
    flats = [flatten_panel(panel, limits=CASED, room=room).uv for room in (0.5, 0.501, 0.516)]
    fine, coarse = (np.abs(flats[k] - flats[0]).max() for k in (1, 2))
    assert coarse < 1.0
    assert fine < coarse / 4 + 0.02
