"""Symmetrical pieces laid flat as such: mirrored outlines, inside the limits, and no worse than any other such map."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from unwrap_shapes import face_stretches, flat_signs

from flatten.mesh.gradient import face_gradients
from flatten.mesh.surface import Mesh
from flatten.pattern.symmetry import evened
from flatten.tolerances import CUT_LINE
from flatten.unwrap.bounds import bounds_of, slacks_at
from flatten.unwrap.limits import RELAXATION
from flatten.unwrap.mates import mated_boundaries
from flatten.unwrap.model import Attainable, Limits, UnwrapError
from flatten.unwrap.panel import flatten_panel
from flatten.unwrap.symmetric import _free_map, _laid_on_axis, flatten_symmetric
from flatten.unwrap.ties import BESIDE_MIDDLE, ties_of
from flatten.worn.curves import Dart, Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.defaults import edge
from tests.limbs import calf, cylinder, limb_of

CASED = Limits(0.05, 0.05, 0.03, 0.03, "given")
BY_DIRECTION = Limits(0.08, 0.04, 0.05, 0.025, "given")
WIDE = Limits(0.08, 0.08, 0.06, 0.06, "given")
HALF_A_CUT = 0.5 * CUT_LINE
"""mm. How far outlines on meshes of 8 mm may be off one another between the places that are tied: half of what a cut
line may be off its boundary."""

MIRROR = np.array([-1.0, 1.0])


def lopsided(h, b):
    """A leg whose calf's belly lies to one side and whose shin to the other."""
    return calf(h, b) + 2.0 * np.sin(b) + np.sin(2 * b) * np.exp(-(((h - 200) / 80) ** 2))


def cut(shape, *, seams=((np.pi, "laced"),), size=8.0, darts=()):
    edges = {
        "bottom": edge("bottom edge", (20.0, 0.0, 20.0, 0.0)),
        "top": edge("top edge", (300.0, 280.0, 250.0, 280.0)),
    }
    lines = [Seam(f"seam {n}", kind, 25.0, [0.0], [at]) for n, (at, kind) in enumerate(seams)]
    return cut_panels(limb_of(shape), Cuts(seams=lines, darts=darts, **edges), edge_length=size)


def symmetric(panels, **settings):
    boundaries = mated_boundaries(panels[0], panels[-1])
    return flatten_symmetric(panels, boundaries, **{"limits": CASED, **settings}), boundaries


def over(flat, limits) -> float:
    """The greatest log-excess of a flat panel's faces over limits by direction."""
    z = (flat.uv @ [1, 1j]) * np.exp(1j * (np.pi / 2 - flat.grain_angle))
    return -float(slacks_at(bounds_of(limits), *face_gradients(flat.panel.mesh).derivatives(z), 0.0).min())


def apart(flat, mate, boundaries) -> float:
    """How far (mm) the outline lies from the mirror image of its mate's, at equal shares of the worn lengths."""
    shares, most = np.linspace(0.0, 1.0, 301), 0.0
    for one, other in boundaries:
        lines = []
        for own, number in ((flat, one), (mate, other)):
            chain = own.panel.boundaries[number].vertices
            run = np.linalg.norm(np.diff(own.panel.mesh.vertices[chain], axis=0), axis=1).cumsum()
            lines.append(CubicSpline(np.append(0.0, run) / run[-1], own.uv[chain]))
        most = max(most, float(np.hypot(*(lines[0](shares) - MIRROR * lines[1](1.0 - shares)).T).max()))
    return most


@pytest.fixture(scope="module")
def whole():
    return cut(lopsided)


def test_both_halves_of_one_piece_have_one_outline_inside_the_limits(whole):
    (flat,), boundaries = symmetric(whole, limits=WIDE, room=0.5)
    assert flat.converged
    assert flat.excess < 0
    assert flat.allowed == 0.5 * flat.excess
    assert over(flat, WIDE) <= flat.allowed
    assert flat_signs(flat.panel.mesh, flat.uv).min() > 0
    assert apart(flat, flat, boundaries) < HALF_A_CUT
    assert flat.halves[0] > flat.halves[1] > 0.2


@pytest.mark.parametrize("grain", [np.pi / 2, np.pi / 4, 0.0])
def test_the_map_is_one_of_the_symmetrical_ones_to_rounding(whole, grain):
    """Their linear equations hold to rounding: corners and all places of the outline, as they are tied."""
    (flat,), boundaries = symmetric(whole, grain_angle=grain, limits=BY_DIRECTION)
    ties = ties_of(whole, boundaries, axis=1j)
    z = flat.uv @ [1, 1j]
    on = np.unique(np.concatenate([boundary.vertices for boundary in flat.panel.boundaries]))
    assert np.abs(ties.nearest(z) - z)[on].max() < 1e-9
    low, high = (
        next(b for b in flat.panel.boundaries if b.side == side and b.kind != "edge") for side in ("low", "high")
    )
    ends = flat.uv[[low.vertices[0], low.vertices[-1]]], flat.uv[[high.vertices[-1], high.vertices[0]]]
    np.testing.assert_allclose(ends[0], MIRROR * ends[1], atol=1e-9)
    assert over(flat, BY_DIRECTION) <= flat.allowed


def test_a_sheared_map_of_the_ties_is_not_taken_for_a_symmetrical_one(whole):
    (flat,), boundaries = symmetric(whole)
    ties = ties_of(whole, boundaries, axis=1j)
    sheared = flat.uv @ [1, 1j] + 1e-3 * flat.uv[:, 1]
    assert np.abs(ties.nearest(sheared) - sheared).max() > 0.05


def test_symmetry_never_asks_for_less_and_for_no_more_than_halves_that_were_moved_together():
    """The least over all maps, the least over symmetrical ones, and what one of these asks."""
    panels = cut(lopsided)
    own = flatten_panel(panels[0], limits=CASED, room=1.0)
    (flat,), _ = symmetric(panels, room=1.0)
    (moved,), _ = evened([own])
    assert own.excess < flat.excess < over(moved, CASED)
    assert over(flat, CASED) <= flat.excess + RELAXATION + 1e-9


def test_a_limb_that_is_symmetrical_asks_for_no_more_than_its_own_shape():
    """But for meshes that are no mirror images: what meshes differ by, 2 % of the spread."""
    panels = cut(calf, size=5.0)
    own = flatten_panel(panels[0], limits=CASED)
    (flat,), _ = symmetric(panels)
    assert 0.0 <= flat.excess - own.excess < 0.02 * own.spread_reachable
    assert flat.halves[0] < 0.05


def test_a_tube_lies_flat_without_stretch():
    panels = cut_panels(
        cylinder(60.0),
        Cuts(
            seams=[Seam("back", "laced", 25.0, [0.0], [np.pi])],
            bottom=edge("bottom edge", (20.0, 30.0, 20.0, 30.0)),
            top=edge("top edge", (200.0, 220.0, 200.0, 220.0)),
        ),
        edge_length=8.0,
    )
    (flat,), boundaries = symmetric(panels)
    # A chord of 8 mm on a circle of 60 mm lies 0.13 mm inside it: panels are isometric to polygons' tubes.
    assert np.abs(face_stretches(flat.panel.mesh, flat.uv) - 1).max() < 3e-3
    assert apart(flat, flat, boundaries) < HALF_A_CUT


def test_two_halves_are_each_others_mirror_image_and_asked_for_the_same():
    panels = cut(lopsided, seams=((np.pi, "laced"), (0.0, "open")))
    flats, boundaries = symmetric(panels, room=0.5)
    assert len(flats) == 2
    assert flats[0].excess == flats[1].excess
    alone = [flatten_panel(panel, limits=CASED).excess for panel in panels]
    assert flats[0].excess >= max(alone)
    for flat in flats:
        assert flat.converged
        assert over(flat, CASED) <= flat.allowed
    assert apart(flats[0], flats[1], boundaries) < HALF_A_CUT
    found, entries = evened(flats)
    assert found == flats
    assert (entries[0].moved, entries[0].mean) == flats[0].halves


def test_two_halves_are_held_to_what_the_worse_of_both_can_reach():
    panels = cut(lopsided, seams=((np.pi, "laced"), (0.0, "open")))
    known = [Attainable(-0.012, 0.001), Attainable(-0.002, 0.002)]
    for order in (known, known[::-1]):
        for flat in symmetric(panels, room=0.5, known=order, limits=WIDE)[0]:
            assert flat.allowed == 0.5 * -0.002
            assert flat.spread_reachable == 0.002


def miss(flat, ties) -> float:
    """How far (mm, on average) a map's tied places lie off the images of those that they are tied to."""
    return float(np.abs(flat[ties.tied] - ties.images(flat)).mean())


def test_a_map_is_laid_on_the_axis_however_it_lay_before(whole):
    ties = ties_of(whole, mated_boundaries(whole[0], whole[0]), axis=1j)
    free = _free_map(whole[0]).flat
    moved = free * np.exp(0.4j) + 30.0 - 12.0j
    laid = [_laid_on_axis(flat, ties, first=0) for flat in (free, moved)]
    np.testing.assert_allclose(laid[0], laid[1], atol=1e-6)
    assert miss(laid[1], ties) < 4.0 < miss(moved, ties)
    # Turned a little either way both halves fit worse.
    assert all(miss(laid[0] * np.exp(1j * turn), ties) > miss(laid[0], ties) for turn in (-0.05, 0.05))


def test_one_of_two_maps_is_laid_where_the_others_image_is():
    panels = cut(lopsided, seams=((np.pi, "laced"), (0.0, "open")))
    ties = ties_of(panels, mated_boundaries(*panels), axis=1j)
    maps = [_free_map(panel).flat for panel in panels]
    beside = np.concatenate([maps[0], maps[1] + 25.0])
    assert miss(_laid_on_axis(beside, ties, first=len(maps[0])), ties) < 4.0 < miss(beside, ties)


def test_no_vertex_stands_free_beside_the_middle_of_a_side_that_is_its_own_image():
    seen = 0
    for size in (7.0, 8.0, 9.0, 10.0):
        panels = cut(lopsided, size=size)
        (panel,) = panels
        boundaries = mated_boundaries(panel, panel)
        free = set(ties_of(panels, boundaries, axis=1j).owners.tolist())
        for number in (one for one, other in boundaries if one == other):
            chain = panel.boundaries[number].vertices
            run = np.linalg.norm(np.diff(panel.mesh.vertices[chain], axis=0), axis=1).cumsum()
            shares = np.append(0.0, run) / run[-1]
            near = BESIDE_MIDDLE * float(np.diff(shares).max())
            beside = chain[np.abs(shares - 0.5) < near]
            seen += len(beside)
            assert not free & set(beside.tolist())
            assert set(chain[(shares > 0.0) & (shares <= 0.5 - near)].tolist()) <= free
    assert seen


@pytest.mark.parametrize("room", [0.5, 1.0])
def test_the_order_of_vertices_and_faces_does_not_matter(whole, room):
    rng = np.random.default_rng(5)
    (panel,) = whole
    order = rng.permutation(len(panel.mesh.vertices))
    place = np.argsort(order)
    shuffled = replace(
        panel,
        mesh=Mesh(panel.mesh.vertices[order], place[panel.mesh.faces][rng.permutation(len(panel.mesh.faces))]),
        heights=panel.heights[order],
        bearings=panel.bearings[order],
        boundaries=tuple(replace(b, vertices=place[b.vertices]) for b in panel.boundaries),
    )
    (flat,), _ = symmetric([panel], room=room)
    (other,), _ = symmetric([shuffled], room=room)
    assert other.excess == pytest.approx(flat.excess, abs=1e-6)
    # As much as the last weight of the barrier leaves of an outline's settling.
    np.testing.assert_allclose(other.uv[place], flat.uv, atol=0.02)


def test_a_mirrored_limb_gives_the_mirrored_piece(whole):
    mirrored = cut(lambda h, b: lopsided(h, -b))
    (flat,), _ = symmetric(whole)
    (other,), _ = symmetric(mirrored)
    assert other.excess == pytest.approx(flat.excess, abs=5e-4)
    spans = [np.ptp(each.uv, axis=0) for each in (flat, other)]
    np.testing.assert_allclose(spans[0], spans[1], atol=0.3)


def test_a_slash_on_the_centre_line_opens_about_it():
    panels = cut(lopsided, darts=[Dart("cut", "slash", "top", 0.0, 60.0, 20.0)])
    (flat,), boundaries = symmetric(panels)
    assert flat.converged
    assert apart(flat, flat, boundaries) < HALF_A_CUT
    tip = next(b for b in flat.panel.boundaries if b.kind == "slash").vertices[-1]
    assert abs(flat.uv[tip, 0]) < 1e-9


def test_a_dart_with_no_image_is_refused():
    panels = cut(lopsided, darts=[Dart("cut", "slash", "top", 0.7, 60.0, 20.0)])
    with pytest.raises(UnwrapError, match=r"slash 'cut' would have to move by \d+ mm"):
        symmetric(panels)
