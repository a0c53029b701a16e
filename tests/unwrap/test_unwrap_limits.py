"""The map inside the leather's limits: closed forms, the cap's bound, and the laws of the least excess."""

import numpy as np
import pytest
from unwrap_shapes import calf, cap, cylinder, face_stretches, flat_signs, frustum, square, worn_lengths

from flatten.mesh.disk import check_disk
from flatten.mesh.gradient import face_gradients
from flatten.mesh.surface import Mesh
from flatten.unwrap.barrier import _flip_quotient, newton_step
from flatten.unwrap.bounds import Objective, Problem, bounds_of, slacks
from flatten.unwrap.dirichlet import distortion, face_modes
from flatten.unwrap.disk import flatten_disk
from flatten.unwrap.limits import (
    LAST_MU,
    LAST_MU_ISOMETRIC,
    RELAXATION,
    TO_CUT,
    TO_SHOW,
    allowed_excess,
    least_excess,
    least_possible_excess,
    most_isometric_within,
)
from flatten.unwrap.model import UNSOUGHT, Attainable, Limits, UnwrapError
from flatten.unwrap.panel import flatten_panel
from flatten.unwrap.place import front_line, longest_line, upright
from flatten.unwrap.system import MeshSystem

CASED = Limits(0.05, 0.05, 0.03, 0.03, "given")


def log_bounds(mesh, uv) -> tuple[float, float]:
    stretch = face_stretches(mesh, uv)
    return float(np.log(stretch.max())), float(np.log(stretch.min()))


@pytest.mark.parametrize("size", [1.0, 1000.0])
def test_a_flat_plates_least_excess_is_the_narrowest_limits(size):
    """On a flat plate t* = −½ log min((1 + stretch) / (1 − squeeze)) over along and across, exactly."""
    limits = Limits(stretch_along=0.08, stretch_across=0.03, squeeze_along=0.04, squeeze_across=0.02, source="given")
    wanted = -0.5 * np.log(min(1.08 / 0.96, 1.03 / 0.98))
    flat = flatten_disk(square(width=size, height=0.7 * size), limits=limits)
    assert flat.excess == pytest.approx(wanted, abs=1e-6)
    assert flat.excess >= wanted - 1e-12
    assert flat.converged


def test_the_narrow_direction_is_across_the_grain_whichever_way_it_runs():
    limits = Limits(stretch_along=0.08, stretch_across=0.03, squeeze_along=0.04, squeeze_across=0.02, source="given")
    wanted = -0.5 * np.log(1.03 / 0.98)
    for angle in (0.0, 0.7, np.pi / 2):
        flat = flatten_disk(square(), limits=limits, grain_angle=angle)
        assert flat.excess == pytest.approx(wanted, abs=1e-6)


def test_limits_hold_along_the_grain_that_was_asked_for():
    """A flat plate with limits that force a stretch along the grain only: it shows along that direction."""
    limits = Limits(stretch_along=0.10, stretch_across=0.01, squeeze_along=-0.06, squeeze_across=0.01, source="given")
    mesh = square()
    for angle in (0.3, np.pi / 2, 2.0):
        flat = flatten_disk(mesh, limits=limits, grain_angle=angle)
        grain = np.array([np.cos(angle), np.sin(angle)])
        across = np.array([-grain[1], grain[0]])
        assert flat.excess < 0
        worn = worn_lengths(mesh, flat.uv, grain), worn_lengths(mesh, flat.uv, across)
        assert worn[0].min() > 1.06 - 1e-6
        assert worn[0].max() < 1.10 + 1e-6
        assert np.abs(worn[1] - 1).max() < 0.01 + 1e-6


@pytest.mark.parametrize(
    "panel", [cylinder(24, 12, seed=None), frustum(24, 12, low=40.0, high=60.0, length=200.0, seed=None)]
)
def test_a_developable_panel_stays_an_isometry_inside_its_limits(panel):
    flat = flatten_panel(panel, limits=CASED)
    assert np.abs(face_stretches(panel.mesh, flat.uv) - 1).max() < 1e-6
    assert flat.spread_reachable < 1e-5
    assert flat.excess == pytest.approx(-0.5 * np.log(1.05 / 0.97), abs=1e-6)


@pytest.mark.parametrize(("degrees", "bound"), [(30, 0.04612), (45, 0.10501), (60, 0.18996)])
def test_a_cap_needs_hardly_more_than_milnors_bound(degrees, bound):
    """Least log ratio of scales on a cap of angular radius a: log(a / sin a).

    Published: Milnor, "A problem in cartography", Amer. Math. Monthly 76(10), 1101–1112, 1969.
    """
    mesh = cap(2500, np.radians(degrees))
    flat = flatten_disk(mesh, limits=CASED)
    assert bound == pytest.approx(np.log(np.radians(degrees) / np.sin(np.radians(degrees))), abs=1e-5)
    assert 1 - 0.005 < flat.spread_reachable / bound < 1.009
    assert flat.converged


@pytest.mark.full
@pytest.mark.parametrize(("degrees", "bound"), [(30, 0.04612), (45, 0.10501), (60, 0.18996)])
def test_a_fine_cap_needs_hardly_more_than_milnors_bound(degrees, bound):
    flat = flatten_disk(cap(10000, np.radians(degrees)), limits=CASED)
    assert 1 - 0.003 < flat.spread_reachable / bound < 1.0045


def test_a_calf_that_can_keep_to_its_limits_does():
    panel = calf(10.0)
    flat = flatten_panel(panel, limits=CASED)
    high, low = log_bounds(panel.mesh, flat.uv)
    assert flat.excess < -RELAXATION
    assert high <= np.log(1.05)
    assert low >= np.log(0.97)
    assert flat_signs(panel.mesh, flat.uv).min() > 0
    assert flat.converged
    assert flat.spread_reachable <= flat.spread + 1e-9 <= np.log(1.05 / 0.97) + 2e-9


def test_a_calf_that_cannot_keep_to_its_limits_exceeds_them_by_the_least():
    panel = calf(10.0)
    tight = Limits(0.01, 0.01, 0.005, 0.005, "given")
    flat = flatten_panel(panel, limits=tight)
    high, low = log_bounds(panel.mesh, flat.uv)
    assert flat.excess > 0
    assert max(high - np.log(1.01), np.log(0.995) - low) == pytest.approx(flat.excess + RELAXATION, abs=2e-5)


def test_the_spread_that_can_be_reached_does_not_depend_on_equal_limits():
    """With the same limits along and across only the scale shifts, so the reachable spread is the surface's own."""
    panel = calf(10.0)
    loose, tight = (flatten_panel(panel, limits=Limits(s, s, c, c, "given")) for s, c in ((0.05, 0.03), (0.01, 0.02)))
    assert loose.spread_reachable == pytest.approx(tight.spread_reachable, rel=2e-3)
    shift = 0.5 * (np.log(1.05 / 0.97) - np.log(1.01 / 0.98))
    assert tight.excess - loose.excess == pytest.approx(shift, abs=1e-4)


def test_wide_limits_leave_the_most_isometric_map():
    panel = calf(12.0)
    wide = flatten_panel(panel, limits=Limits(0.5, 0.5, 0.4, 0.4, "given"))
    free = flatten_panel(panel)
    assert wide.energy == pytest.approx(free.energy, abs=1e-4 * (free.energy - 4) * 20)
    np.testing.assert_allclose(wide.uv, free.uv, atol=0.3)


def test_the_cut_map_is_more_isometric_than_the_limits_need():
    """What is cut never hangs at the limit where it need not: most of its area lies well inside."""
    panel = calf(10.0)
    flat = flatten_panel(panel, limits=CASED)
    stretch = np.log(face_stretches(panel.mesh, flat.uv))
    assert np.median(np.abs(stretch)) < 0.5 * np.log(1.05)


def test_what_a_coarser_mesh_has_found_is_told_and_changes_no_outline():
    """Minimax is left off as soon as a map inside the limits is found; the cut map is the same as after all of it."""
    coarse, panel = flatten_panel(calf(12.0), limits=CASED), calf(8.0)
    alone, after = flatten_panel(panel, limits=CASED), flatten_panel(panel, limits=CASED, known=coarse.attainable)
    assert after.attainable == coarse.attainable
    assert after.spread_reachable == pytest.approx(alone.spread_reachable, rel=0.02)
    assert after.steps < 0.8 * alone.steps
    assert after.converged
    # Twice what the last weight of the barrier leaves of an outline's settling.
    np.testing.assert_allclose(after.uv, alone.uv, atol=0.1)
    assert after.energy == pytest.approx(alone.energy, abs=4 * LAST_MU_ISOMETRIC * (flatten_panel(panel).energy - 4))


def test_what_can_be_reached_stays_unknown_where_nobody_asks_and_the_limits_are_kept_to():
    flat = flatten_panel(calf(12.0), limits=CASED, known=UNSOUGHT)
    assert np.isnan(flat.spread_reachable)
    assert np.isnan(flat.excess)
    high, low = log_bounds(flat.panel.mesh, flat.uv)
    assert high <= np.log(1.05)
    assert low >= np.log(0.97)


@pytest.mark.parametrize("stretch", [0.01, 0.04])
def test_a_mesh_finds_for_itself_what_can_be_reached_where_the_limits_cannot_be_kept_to(stretch):
    tight = Limits(stretch, stretch, 0.005, 0.005, "given")
    panel = calf(12.0)
    alone = flatten_panel(panel, limits=tight)
    assert alone.excess > 0
    for known in (UNSOUGHT, Attainable(-0.01, 0.01), Attainable(0.2, 0.5)):
        flat = flatten_panel(panel, limits=tight, known=known)
        assert flat.attainable == alone.attainable
        np.testing.assert_array_equal(flat.uv, alone.uv)


def test_a_preview_s_least_excess_is_good_to_the_share_of_the_spread_that_it_says():
    panel = calf(12.0)
    tight = Limits(0.01, 0.01, 0.005, 0.005, "given")
    exact = flatten_panel(panel, limits=tight)
    shown = flatten_panel(panel, limits=tight, known=UNSOUGHT, accuracy=TO_SHOW)
    half = exact.excess + 0.5 * np.log(1.01 / 0.995)
    assert shown.converged
    assert exact.excess > 0
    assert -4 * TO_CUT.excess * half <= shown.excess - exact.excess <= 4 * TO_SHOW.excess * half
    assert shown.steps < exact.steps
    # What is shown goes beyond the limits by its own excess and no more.
    high, low = log_bounds(panel.mesh, shown.uv)
    assert max(high - np.log(1.01), np.log(0.995) - low) <= shown.excess + RELAXATION + 1e-9


def test_a_preview_s_outline_is_the_cut_one_nearer_than_its_mesh_moves_it():
    """0.6 mm is what a mesh of 8 mm moves an outline."""
    panel = calf(12.0)
    for limits in (CASED, Limits(0.01, 0.01, 0.005, 0.005, "given")):
        exact = flatten_panel(panel, limits=limits)
        shown = flatten_panel(panel, limits=limits, known=UNSOUGHT, accuracy=TO_SHOW)
        assert np.abs(shown.uv - exact.uv).max() < 0.6


@pytest.mark.parametrize("limits", [CASED, Limits(0.02, 0.06, 0.01, 0.03, "given")], ids=["equal", "by direction"])
def test_what_has_converged_is_balanced_by_the_multipliers_of_its_bounds(limits):
    """Lagrange's conditions of both phases, by differences of the slacks.

    Multipliers of no other sign, their sum 1 where the excess is lowered, no way of the map on which they and the
    energy do work, and a gap within what `converged` promises.
    """
    panel = calf(16.0)
    gradients = face_gradients(panel.mesh)
    free = flatten_panel(panel).uv @ [1, 1j]
    system = MeshSystem(panel.mesh, gradients, panel.mesh.vertices)
    turn = front_line(panel).weights(gradients.count) * (-1 + 0j)
    problem = Problem(gradients, system, bounds_of(limits), turn)
    energy = distortion(gradients, free)
    least = least_excess(problem, free)
    held = most_isometric_within(problem, least.flat, allowed_excess(least.excess), energy)
    assert least.converged
    assert held.converged
    assert least.multiplier.sum() == pytest.approx(1.0, abs=0.01)
    assert least.gap <= 2 * 4 * LAST_MU * (least.excess - least_possible_excess(problem)) * 1.01
    assert held.gap <= 2 * 4 * LAST_MU_ISOMETRIC * energy
    rng = np.random.default_rng(4)
    for found, pull in ((least, 0.0), (held, 1.0)):
        assert found.multiplier.min() > 0
        for _ in range(8):
            # Smooth ways of the map, across the grain and along it, in which no line of the panel turns for long.
            k, phase = rng.normal(size=2) / 60, rng.uniform(0, 6, 2)
            way = np.sin(k[0] * found.flat.real + phase[0]) + 1j * np.sin(k[1] * found.flat.imag + phase[1])
            ends = [found.flat + sign * 1e-4 * way for sign in (1, -1)]
            change = (slacks(problem, ends[0], 0.0) - slacks(problem, ends[1], 0.0)) / 2e-4
            rise = pull * (distortion(gradients, ends[0]) - distortion(gradients, ends[1])) / 2e-4
            assert abs(rise - np.sum(found.multiplier * change)) < 0.01 * np.sum(found.multiplier * np.abs(change))


@pytest.mark.parametrize("bound", bounds_of(Limits(0.06, 0.06, 0.03, 0.03, "given")))
def test_the_stiffness_of_a_flip_is_the_quotient_of_the_barriers_slopes(bound):
    """Of f = -log(slack), (f'(S) - f'(s)) / (S - s); a bound of squeeze leaves out its part below 0."""
    rng = np.random.default_rng(3)
    small, large = rng.uniform(0.97, 0.99, 20), rng.uniform(1.0, 1.02, 20)
    f_z, f_zbar = 0.5 * (large + small) + 0j, 0.5 * (large - small) + 0j
    slack = 0.05 + bound.sign * np.log(bound.x * np.stack([large, small]))
    slopes = -bound.sign / (slack * np.stack([large, small]))
    exact = (slopes[0] - slopes[1]) / (large - small)
    negative = 0.0 if bound.sign > 0 else -1.0 / (slack[1] * large * small)
    found = _flip_quotient(1.0 / slack, slack, bound, face_modes(f_z, f_zbar))
    np.testing.assert_allclose(found, exact - negative, rtol=1e-9)


def test_a_step_that_turns_the_map_goes_along_a_circle():
    """A flat plate that lies askew by φ, with bounds alike on both sides: one step turns it back and swells no face.

    It turns by tan φ, for the condition on turns is linear: −φ³/3 is left. Straight, each face would grow by φ²/2.
    """
    mesh = square()
    gradients = face_gradients(mesh)
    line = longest_line(mesh, check_disk(mesh))
    plate = upright(mesh.vertices[:, 0] + 1j * mesh.vertices[:, 1], line)
    problem = Problem(
        gradients,
        MeshSystem(mesh, gradients, mesh.vertices),
        bounds_of(Limits(0.05, 0.05, 1 - 1 / 1.05, 1 - 1 / 1.05, "given")),
        line.weights(gradients.count) * (-1 + 0j),
    )
    askew = 0.05
    step = newton_step(problem, plate * np.exp(1j * askew), 0.0, Objective(mu=1e-3, isometry=1.0), None)
    assert step.length == 1.0
    assert np.angle(line.direction(step.flat)) - np.pi / 2 == pytest.approx(-(askew**3) / 3, abs=askew**5)
    np.testing.assert_allclose(np.abs(gradients.derivatives(step.flat)[0]), 1.0, atol=askew**4)


def outline_move(panel, stretch: float, step: float, accuracy=TO_CUT) -> float:
    """How far the flat outline moves, mm, as the stretch limit grows by `step`."""
    known = None if accuracy is TO_CUT else UNSOUGHT
    ends = (Limits(s, s, 0.03, 0.03, "given") for s in (stretch, stretch + step))
    flats = [flatten_panel(panel, limits=limits, known=known, accuracy=accuracy) for limits in ends]
    return float(np.abs(flats[1].uv - flats[0].uv).max())


@pytest.mark.parametrize("accuracy", [TO_CUT, TO_SHOW], ids=["cut", "shown"])
def test_outlines_are_continuous_as_a_limit_passes_through_feasibility(accuracy):
    """About the stretch at which the calf just fits, a step a sixteenth as long moves the outline far less."""
    panel = calf(16.0)
    start = flatten_panel(panel, limits=CASED, accuracy=accuracy)
    # With equal limits the excess moves by half the shift of log(1 + stretch).
    just = float(np.exp(np.log(1.05) + 2 * start.excess) - 1)
    for fitting in (just, float(np.exp(np.log(1.05) + 2 * (start.excess + RELAXATION)) - 1)):
        coarse, fine = (outline_move(panel, fitting - step / 2, step, accuracy) for step in (1.6e-3, 1e-4))
        assert coarse < 1.5
        assert fine < coarse / 4 + 0.02


@pytest.mark.parametrize(
    "limits",
    [Limits(0.05, 0.05, 1.2, 0.03, "given"), Limits(-0.05, 0.05, 0.03, 0.03, "given"), Limits(np.inf, 1, 0, 0, "")],
)
def test_limits_that_leave_no_room_are_refused(limits):
    with pytest.raises(UnwrapError, match="leave no room"):
        flatten_disk(square(), limits=limits)


def test_one_face_keeps_to_any_limits():
    mesh = Mesh(np.array([[0, 0, 0], [30, 0, 0], [0, 40, 0.0]]), np.array([[0, 1, 2]]))
    flat = flatten_disk(mesh, limits=CASED)
    np.testing.assert_allclose(face_stretches(mesh, flat.uv), 1.0, atol=1e-3)
