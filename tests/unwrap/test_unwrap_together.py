"""Panels laid flat together: both sides of a seam equally long, inside the limits, and no further from isometry."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from unwrap_shapes import face_stretches, flat_signs, worn_lengths

import flatten.unwrap.together as together
from flatten.mesh.surface import Mesh
from flatten.pattern.piece import TitleBlock, pattern_from
from flatten.tolerances import SEAM_MATCH
from flatten.unwrap.barrier import local_model
from flatten.unwrap.limits import RELAXATION
from flatten.unwrap.model import Limits, UnwrapError
from flatten.unwrap.panel import flatten_panel
from flatten.unwrap.place import front_line
from flatten.unwrap.rows import mated_seams
from flatten.unwrap.together import seams_made_equal
from flatten.worn.curves import Dart, Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.defaults import edge
from flatten.worn.panel import Boundary, Panel
from tests.limbs import calf, cone, cylinder, limb_of

CASED = Limits(0.05, 0.05, 0.03, 0.03, "cased")
WIDER = Limits(0.08, 0.08, 0.05, 0.05, "given")
EDGES = {"bottom": edge("bottom edge", (20.0, 0.0, 20.0, 0.0)), "top": edge("top edge", (300.0, 280.0, 250.0, 280.0))}
LEVEL = {"bottom": edge("bottom edge", (20.0,) * 4), "top": edge("top edge", (280.0,) * 4)}
RIVET, STITCH = 6.4, 3.5
"""mm. Rivet holes two leathers of 3.2 mm inside the edge, stitches 3 to 4 mm: common practice."""


def seam(bearing, name, kind="riveted", overlap=22.0):
    return Seam(name, kind, 0.0, [0.0], [bearing], overlap, "before" if overlap else "")


def laid(surface, seams, *, limits=CASED, edges=EDGES, size=8.0, darts=()):
    panels = cut_panels(surface, Cuts(seams=seams, darts=darts, **edges), edge_length=size, thickness=3.2)
    return tuple(flatten_panel(panel, limits=limits) for panel in panels)


@pytest.fixture(scope="module")
def riveted():
    """Front and back of a leg, riveted at both seams."""
    return laid(limb_of(calf), [seam(1.3, "one"), seam(4.4, "two")])


ROWS = {"one": RIVET, "two": RIVET}


@pytest.fixture(scope="module")
def joined(riveted):
    return seams_made_equal(riveted, limits=CASED, insets=ROWS)


def runs(flats, name):
    """Flat lengths (2, count) of both sides of an overlapping seam between equal heights, where rivets can stand."""
    lines = [(f, b) for f in flats for b in f.panel.boundaries if b.name == name]
    heights = [f.panel.heights[b.line] for f, b in lines]
    clear = []
    for (flat, boundary), own in zip(lines, heights, strict=True):
        arcs = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(flat.uv[boundary.line], axis=0), axis=1)))
        clear.append(np.interp([RIVET, arcs[-1] - RIVET], arcs, own))
    low, high = max(c[0] for c in clear), min(c[1] for c in clear)
    count, out = round(max(np.linalg.norm(np.diff(f.uv[b.line], axis=0), axis=1).sum() for f, b in lines) / 30.0), []
    for (flat, boundary), own in zip(lines, heights, strict=True):
        fine = np.linspace(low, high, 5 * count + 1)
        points = np.stack([np.interp(fine, own, flat.uv[boundary.line, k]) for k in (0, 1)], 1)
        out.append(np.linalg.norm(np.diff(points, axis=0), axis=1).reshape(count, 5).sum(axis=1))
    return np.array(out)


@pytest.mark.parametrize("name", ["one", "two"])
def test_both_sides_of_a_riveted_seam_become_equally_long(riveted, joined, name):
    before, after = runs(riveted, name), runs(joined, name)
    assert np.abs(before[0] - before[1]).max() > 0.5
    # SEAM_MATCH is 0.2 mm over the whole seam.
    assert abs(after[0].sum() - after[1].sum()) < 0.05
    assert np.abs(after[0] - after[1]).max() < 0.1 * np.abs(before[0] - before[1]).max()


def test_what_becomes_equal_stays_inside_the_limits_and_flips_nothing(riveted, joined):
    for flat in joined:
        assert flat.converged
        stretches = face_stretches(flat.panel.mesh, flat.uv)
        beyond = np.exp(max(0.0, flat.excess + RELAXATION)) * (1 + 1e-9)
        assert stretches.max() <= 1.05 * beyond
        assert stretches.min() >= 0.97 / beyond
        assert flat_signs(flat.panel.mesh, flat.uv).min() > 0
        assert flat.overlaps == 0
    shares = [flat_signs(f.panel.mesh, f.uv).sum() for f in joined]
    assert np.dot(shares, [f.energy for f in joined]) > np.dot(shares, [f.energy for f in riveted])
    for flat, own in zip(joined, riveted, strict=True):
        assert flat.energy >= flatten_panel(own.panel).energy


def test_what_becomes_equal_keeps_to_limits_along_a_grain_that_runs_askew(riveted):
    limits = Limits(0.08, 0.04, 0.02, 0.04, "given")
    grain = np.array([np.cos(0.9), np.sin(0.9)])
    flats = [flatten_panel(flat.panel, limits=limits, grain_angle=0.9) for flat in riveted]
    for flat, own in zip(seams_made_equal(flats, limits=limits, insets=ROWS), flats, strict=True):
        assert flat.converged
        assert np.abs(flat.uv - own.uv).max() > 0.1
        beyond = np.exp(max(0.0, flat.excess + RELAXATION)) * (1 + 1e-9)
        along, across = (worn_lengths(flat.panel.mesh, flat.uv, d) for d in (grain, [-grain[1], grain[0]]))
        assert along.max() <= 1.08 * beyond
        assert along.min() >= 0.98 / beyond
        assert across.max() <= 1.04 * beyond
        assert across.min() >= 0.96 / beyond


def test_the_front_line_stays_upright(joined):
    for flat in joined:
        upwards = front_line(flat.panel).direction(flat.uv[:, 0] + 1j * flat.uv[:, 1])
        assert abs(upwards.real) < 1e-9 * upwards.imag


@pytest.mark.parametrize("surface", [cylinder(60.0), cone(40.0, 0.1)], ids=["cylinder", "cone"])
def test_sides_that_are_equal_already_do_not_move(surface):
    flats = laid(surface, [seam(np.pi, "back", "stitched", 0.0)], edges=LEVEL)
    assert seams_made_equal(flats, limits=CASED, insets={"back": STITCH}) == flats


def test_a_laced_seam_is_not_coupled(riveted):
    assert seams_made_equal(riveted, limits=CASED, insets={}) == riveted


def test_a_tube_closed_by_a_stitched_seam_is_made_equal_to_itself():
    """A seam that winds from the front's side to the back has sides of unequal bend: they differ when flat."""
    line = Seam("back", "stitched", 0.0, [0.0, 150.0, 300.0], [2.2, 3.4, 3.0])
    wide = Limits(0.15, 0.15, 0.08, 0.08, "given")
    flats = laid(limb_of(calf), [line], limits=wide)
    insets = {"back": STITCH}
    joined = seams_made_equal(flats, limits=wide, insets=insets)
    (before,), (after,) = ([f.uv[:, 0] + 1j * f.uv[:, 1] for f in found] for found in (flats, joined))
    seams = mated_seams(flats, insets)
    assert np.abs(seams.residuals([before])).max() > 0.1
    assert np.abs(seams.residuals([after])).max() < 0.01
    # Holes stand beside the smoothed cut line, this line beside the mesh's boundary: SEAM_MATCH is 0.2 mm.
    title = TitleBlock("watch", "left", 3.2)
    (was,), (join,) = (pattern_from(found, title).joins for found in (flats, joined))
    assert was.ease > 0.2
    assert join.ease == 0.0


def test_both_sides_of_a_stitched_dart_are_equally_long():
    bulge = limb_of(lambda h, b: 80.0 * np.sqrt(1.0 - ((h - 100.0) / 380.0) ** 2) + 6.0 * np.sin(b) * h / 250.0)
    dart = Dart("pleat", "dart", "top", 0.3, 95.0)
    flats = laid(bulge, [Seam("back", "laced", 25.0, [0.0], [np.pi])], edges=LEVEL, darts=[dart], size=6.0)
    seams = mated_seams(flats, {"pleat": STITCH})
    joined = seams_made_equal(flats, limits=CASED, insets={"pleat": STITCH})
    before, after = (seams.residuals([f.uv[:, 0] + 1j * f.uv[:, 1] for f in found]) for found in (flats, joined))
    assert seams.count == 3
    assert np.abs(before).max() > 0.01
    assert np.abs(after).max() < 0.005


def test_limits_come_before_equality():
    """A leather that gives next to nothing: the seam stays unequal, by less than before, and no limit is passed."""
    stiff = Limits(0.002, 0.002, 0.002, 0.002, "given")
    flats = laid(limb_of(calf), [seam(1.3, "one"), seam(4.4, "two")], limits=stiff)
    joined = seams_made_equal(flats, limits=stiff, insets=ROWS)
    for flat in joined:
        beyond = np.exp(flat.excess + RELAXATION) * (1 + 1e-9)
        stretches = face_stretches(flat.panel.mesh, flat.uv)
        assert stretches.max() <= 1.002 * beyond
        assert stretches.min() >= 0.998 / beyond
    before, after = (np.abs(np.subtract(*runs(found, "two"))).sum() for found in (flats, joined))
    assert after < before


def test_a_mirrored_pair_gives_the_mirror_image(riveted, joined):
    """Sides low and high change places; bearings and x change sign."""
    turned = tuple(replace(flat, panel=_mirrored(flat.panel), uv=flat.uv * [-1.0, 1.0]) for flat in riveted)
    found = seams_made_equal(turned, limits=CASED, insets=ROWS)
    for flat, own in zip(found, joined, strict=True):
        # Newton stops at a decrement: the outline is then within 0.05 mm of where it settles.
        np.testing.assert_allclose(flat.uv * [-1.0, 1.0], own.uv, atol=0.05)


def _mirrored(panel):
    swap = {"low": "high", "high": "low", "": ""}
    boundaries = tuple(
        Boundary(b.name, b.kind, swap[b.side], b.vertices[::-1], b.line, b.layer) for b in panel.boundaries[::-1]
    )
    mesh = Mesh(panel.mesh.vertices * [1.0, -1.0, 1.0], panel.mesh.faces[:, ::-1])
    return Panel(panel.name, mesh, panel.heights, -panel.bearings, boundaries)


def test_the_jacobians_are_the_derivatives_of_the_residuals(riveted):
    seams = mated_seams(riveted, ROWS)
    rng = np.random.default_rng(1)
    maps = [f.uv[:, 0] + 1j * f.uv[:, 1] for f in riveted]
    moves = [rng.normal(size=len(z)) + 1j * rng.normal(size=len(z)) for z in maps]
    step = 1e-4
    ahead, behind = (seams.residuals([z + s * d for z, d in zip(maps, moves, strict=True)]) for s in (step, -step))
    linear = sum((rows.conj().T @ d).real for rows, d in zip(seams.jacobians(maps), moves, strict=True))
    # Central differences err by step² times third derivatives of lengths of 10 mm: 1e-9.
    np.testing.assert_allclose((ahead - behind) / (2 * step), linear, atol=1e-7)


def test_forces_along_the_seams_balance_every_panel(riveted, monkeypatch):
    """First-order conditions: what is left of each panel's slope is a sum of seam forces, the same on both sides."""
    monkeypatch.setattr(together, "CENTRED", 1e-8)
    joined = seams_made_equal(riveted, limits=CASED, insets=ROWS)
    areas = np.array([_area(f.panel.mesh) for f in joined])
    seams = mated_seams(riveted, ROWS)
    maps = [f.uv[:, 0] + 1j * f.uv[:, 1] for f in joined]
    pushed, pulled, held = [], [], []
    for i, (flat, own, z, rows) in enumerate(zip(joined, riveted, maps, seams.jacobians(maps), strict=True)):
        part = together._part(own, CASED, areas[i] / areas.sum())
        slope = local_model(part.problem, z * part.turned, part.excess, part.objective(1.0)).slope
        pushed.append(slope)
        pulled.append(rows.toarray())
        held.append((i, part.problem.turn))
        assert flat.converged
    columns = [np.concatenate([rows[:, k] for rows in pulled]) for k in range(seams.count)]
    for i, turn in held:
        columns.append(np.concatenate([turn if i == k else 0 * z for k, z in enumerate(maps)]))
    matrix = np.stack([np.concatenate([c.real, c.imag]) for c in columns], axis=1)
    right = np.concatenate([np.concatenate(pushed).real, np.concatenate(pushed).imag])
    forces = np.linalg.lstsq(matrix, -right, rcond=None)[0]
    assert np.linalg.norm(right + matrix @ forces) < 1e-3 * np.linalg.norm(right)


def _area(mesh):
    a, b, c = (mesh.vertices[mesh.faces[:, i]] for i in range(3))
    return 0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1).sum()


def test_a_panel_beyond_its_limits_is_refused(riveted):
    (flat, *others) = riveted
    wide = replace(flat, uv=1.2 * flat.uv)
    with pytest.raises(UnwrapError, match="does not keep to the limits"):
        seams_made_equal((wide, *others), limits=CASED, insets=ROWS)


@pytest.mark.parametrize("strain", [0.0, 0.3, 1.0, 20.0, 1e5])
def test_neither_seams_nor_barrier_change_by_more_than_a_factor_between_stages(strain):
    first, *stages = together._stages(strain)
    assert first == (together.FIRST_BARRIER, together.FIRST_PENALTY)
    assert stages[-1] == (1.0, 1.0)
    # The seams begin by weighing no more than the distortion.
    assert stages[0][1] * strain <= 1.0 + 1e-12
    for (wide, share), (narrower, more) in pairwise(stages):
        assert 1.0 <= wide / narrower <= together.STAGE
        assert 1.0 <= more / share <= together.STAGE * (1 + 1e-12)


def test_seams_meet_with_the_least_of_their_room_given_up(riveted):
    """Front and back of a leg, the one 3 % longer: with hardly any room left over its stretch is nearly settled."""
    short, long = (flat.panel for flat in riveted)
    long = replace(long, mesh=Mesh(long.mesh.vertices * [1.0, 1.0, 1.03], long.mesh.faces))
    flats = [flatten_panel(panel, limits=WIDER, room=1.0) for panel in (short, long)]
    assert max(flat.allowed for flat in flats) < 0
    seams = mated_seams(flats, ROWS)
    joined = seams_made_equal(flats, limits=WIDER, insets=ROWS)
    shares = [1 - flat.allowed / before.allowed for flat, before in zip(joined, flats, strict=True)]
    assert shares[0] == pytest.approx(shares[1])
    assert 0.0 < shares[0] < 1.0
    given_up = [together.with_room_given_up(flats, share) for share in (0.0, shares[0] - 0.125, 1.0)]
    held, tighter, free = (
        apart_by(together.solved_together(each, limits=WIDER, constraints=seams)) for each in given_up
    )
    enough = max(0.25 * SEAM_MATCH, free + 0.01)
    assert apart_by(joined) <= enough < min(held, tighter)
    for flat in joined:
        stretch = np.log(face_stretches(flat.panel.mesh, flat.uv))
        assert max(stretch.max() - np.log(1.08), np.log(0.95) - stretch.min()) <= flat.allowed


def apart_by(flats):
    """By how much the sides of the seams differ at most over a stretch, mm."""
    return float(np.abs(mated_seams(flats, ROWS).residuals([flat.uv @ [1, 1j] for flat in flats])).max())
