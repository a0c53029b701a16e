"""Cables and struts against flat maps that exist."""

from itertools import pairwise

import numpy as np
import pytest
from certificate_shapes import fields, flat_spread, known_pairs, waved
from unwrap_shapes import cap, ccw, grid, grid_faces, hyperbolic_like

from flatten.mesh.disk import check_disk
from flatten.mesh.surface import Mesh
from flatten.unwrap.certificate.pairs import figure_of
from flatten.unwrap.certificate.paths import trace_paths
from flatten.unwrap.certificate.struts import Pairs, strut_lengths
from flatten.unwrap.certificate.survey import survey
from flatten.unwrap.certificate.turning import (
    FIRM,
    corners_of,
    in_proven_order,
    triples_of,
    turning_bounds,
)
from flatten.unwrap.disk import flatten_disk

SHAPES = {"dome": cap(500, 0.5), "saddle": hyperbolic_like(500, bend=0.3)}
PANELS = {name: (mesh, check_disk(mesh), flatten_disk(mesh).uv, survey(mesh)) for name, mesh in SHAPES.items()}


def horseshoe() -> Mesh:
    """A flat ring from radius 8 to 60 mm, open over 40°."""
    across, along = np.meshgrid(np.linspace(8, 60, 12), np.linspace(np.radians(20), np.radians(340), 60))
    chart = np.stack([along.ravel() * 30, across.ravel()], axis=1)
    faces = ccw(chart)[:, [0, 2, 1]]
    x, y = across.ravel() * np.cos(along.ravel()), across.ravel() * np.sin(along.ravel())
    return Mesh(np.stack([x, y, 0 * x], axis=1), faces)


@pytest.mark.parametrize("shape", PANELS)
@pytest.mark.parametrize("seed", range(5))
def test_no_map_breaks_a_cable_or_a_strut(shape, seed):
    mesh, boundary, uv, panel = PANELS[shape]
    flat, spread = waved(mesh, boundary, uv, amount=0.002 * (seed + 1), seed=seed)
    pairs = panel.pairs
    place = flat[panel.points]
    apart = np.linalg.norm(place[pairs.first] - place[pairs.second], axis=1)
    assert (apart <= pairs.cables * np.exp(spread) * (1 + 1e-9)).all()
    assert (apart >= strut_lengths(pairs, spread) * (1 - 1e-9)).all()


@pytest.mark.parametrize("shape", PANELS)
@pytest.mark.parametrize("seed", range(3))
def test_no_map_turns_a_pair_beyond_its_bounds(shape, seed):
    mesh, boundary, uv, panel = PANELS[shape]
    flat, spread = waved(mesh, boundary, uv, amount=0.002, seed=seed)
    pairs, place = panel.pairs, flat[panel.points]
    figure = figure_of(uv[panel.points], pairs.first, pairs.second)
    struts, cables = strut_lengths(pairs, spread), pairs.cables * np.exp(spread)
    triples = triples_of(figure, struts > FIRM * pairs.cables)
    corners = in_proven_order(
        figure, corners_of(figure, triples, struts=struts, cables=cables), struts=struts, cables=cables
    )
    gauge = int(corners.to_start[0])
    low, high = turning_bounds(corners, gauge=gauge, count=len(pairs.first))
    v = place[pairs.second] - place[pairs.first]
    turn = np.arctan2(v[:, 1], v[:, 0]) - figure.direction
    turn = np.mod(turn - turn[gauge] + np.pi, 2 * np.pi) - np.pi
    known = np.isfinite(low)
    assert known.mean() > 0.3
    assert (turn[known] >= low[known] - 1e-9).all()
    assert (turn[known] <= high[known] + 1e-9).all()


def test_the_tube_gives_long_pairs_away_from_the_boundary_their_whole_distance():
    panel = PANELS["dome"][3]
    pairs = panel.pairs
    ends = pairs.to_boundary[pairs.first] + pairs.to_boundary[pairs.second]
    whole = strut_lengths(pairs, 0.05) > 0.999 * pairs.distances
    assert (whole & (ends < 0.8 * pairs.distances)).sum() > 50


def test_a_horseshoe_s_ends_can_come_together_so_they_have_no_strut():
    mesh = horseshoe()
    panel = survey(mesh)
    pairs = panel.pairs
    radius = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1])
    turn = np.mod(np.arctan2(mesh.vertices[:, 1], mesh.vertices[:, 0]), 2 * np.pi)
    bent = np.pi + (turn - np.pi) * 1.1
    flat = radius[:, None] * np.stack([np.cos(bent), np.sin(bent)], axis=1)
    least, spread = flat_spread(mesh, flat)
    place = flat[panel.points] / least
    apart = np.linalg.norm(place[pairs.first] - place[pairs.second], axis=1)
    assert (apart >= strut_lengths(pairs, spread) * (1 - 1e-9)).all()
    assert (apart < 0.5 * pairs.distances).any()


def test_a_strip_s_ends_come_nearer_when_it_is_bent_so_the_tube_must_not_hold_them():
    faces, (x, y) = grid_faces(60, 4), grid(60, 4)
    mesh = Mesh(np.stack([300 * x, 20 * y, 0 * x], axis=1), faces)
    ends = np.flatnonzero((y == 0.5) & np.isin(np.round(60 * x), [2, 58]))
    field = fields(mesh, ends[:1])
    paths = trace_paths(field, np.zeros(1, np.int64), ends[1:])
    apart = field.distances[0, ends[1:]]
    pair = Pairs(ends, field.at_vertices[ends], np.zeros(1, np.int64), np.ones(1, np.int64), apart, paths)
    # Bent about a centre 200 mm away the strip's inner side keeps its length; the middle is longer, its chord shorter.
    turn = mesh.vertices[:, 0] / 200
    flat = (190 + mesh.vertices[:, 1])[:, None] * np.stack([np.sin(turn), np.cos(turn)], axis=1)
    least, spread = flat_spread(mesh, flat)
    chord = np.linalg.norm(flat[ends[1]] - flat[ends[0]]) / least
    assert strut_lengths(pair, spread) <= chord < apart
    assert strut_lengths(pair, 1e-4) == pytest.approx(apart, rel=2e-5)


def test_a_greater_spread_never_makes_a_strut_longer():
    pairs = PANELS["saddle"][3].pairs
    lengths = [strut_lengths(pairs, spread) for spread in (0.0, 0.05, 0.1, 0.3)]
    assert all((a >= b).all() for a, b in pairwise(lengths))
    assert lengths[0].sum() > lengths[-1].sum()


def test_without_a_path_a_strut_reaches_as_far_as_both_boundary_distances():
    pairs = known_pairs(np.array([[0.0, 5.0], [5.0, 0.0]]), np.array([1.0, 2.0]))
    assert strut_lengths(pairs, 0.1) == pytest.approx(3.0, rel=2e-5)
