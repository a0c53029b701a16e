"""Edges over what the scan does not show: how far they run over it, and when that is a stop."""

from dataclasses import replace

import numpy as np
import pytest
from report_case import calf_skin

from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import Frame, Landmark, Limb
from flatten.limb.surface.model import Bridge
from flatten.report.unseen import UNSURE, unseen_edges
from flatten.report.verdict import verdict_on
from flatten.scan.model import Scan
from flatten.words import say
from flatten.worn.curves import Edge

HOLE, SEEN = (200.0, np.pi), (120.0, 0.0)
WIDTH = 80.0
"""mm across a round hole at the back."""

CELL = 4.0
"""mm. Coverage is told by cells of this size: a hole's radius is told to one of them."""


def limb_at(kind=LOWER_LEG):
    marks = (Landmark("ankle", 0.0), Landmark("widest", 240.0))
    # Not the limb's own axes, so that a scan that is not brought into them is seen.
    turned = Frame(np.array([10.0, -20.0, 30.0]), np.array([[0.0, 0, 1], [1, 0, 0], [0, 1, 0]]))
    return Limb(kind, "left", turned, marks, "foot")


def scanned(skin, limb, *, missing=HOLE, width=WIDTH):
    """Points 2 mm apart all over the skin but for a round hole."""
    heights, turns = np.meshgrid(np.arange(-24.0, 384.0, 2.0), np.linspace(-np.pi, np.pi, 180, endpoint=False))
    heights, turns = heights.ravel(), turns.ravel()
    points = skin.points(heights, turns)
    away = np.linalg.norm(points - skin.points(np.array(missing[:1]), np.array(missing[1:])), axis=1)
    kept = limb.frame.to_scan(points[away > width / 2])
    return Scan("leg.ply", kept, np.zeros_like(kept), np.zeros((0, 3), int), "mm", "given", 1.0, 0, ())


def found(heights, *, uncertainty=4.8, likely=2.0, missing=HOLE):
    """What is found of a level edge at each of the heights."""
    bridges = (Bridge(*missing, WIDTH, uncertainty, likely), Bridge(*SEEN, 20.0, 0.6, 0.2))
    skin, limb = replace(calf_skin(), bridges=bridges), limb_at()
    edges = [Edge("top edge", np.zeros(1), np.array([height])) for height in heights]
    return unseen_edges(scanned(skin, limb, missing=missing), limb, skin, edges=edges)


def test_an_edge_through_the_middle_of_a_hole_is_a_stop_with_its_place():
    (stop,) = found([HOLE[0]])
    assert (stop.code, stop.severity) == ("edge.unseen", "stop")
    # Cells that are empty lie within the hole; a cell has one of its places at its end.
    assert WIDTH - 2 * CELL <= stop.figures["length"] <= WIDTH + 0.1 * CELL
    assert (stop.figures["off"], stop.figures["sigma"]) == (4.8, 2.0)
    assert stop.place.part == "top edge"
    assert stop.place.height == pytest.approx(HOLE[0])
    assert np.cos(stop.place.bearing - HOLE[1]) > np.cos(0.05)
    said = say.stop(stop)
    assert said.startswith("The top edge runs for ")
    assert "mm over what the scan does not show, at the back, 200 mm above the ankle: " in said


def test_an_edge_at_the_side_of_a_hole_runs_over_its_chord():
    (stop,) = found([HOLE[0] + 24.0])
    # Half the hole is 40 mm, and 24, 32, 40 is a right triangle; with a radius less a cell it would be 53 mm.
    assert 2 * np.sqrt(36.0**2 - 24.0**2) - CELL <= stop.figures["length"] <= 64.0 + CELL


def test_an_edge_beside_a_hole_is_none_of_its_business():
    assert found([HOLE[0] - WIDTH / 2 - CELL, HOLE[0] + WIDTH / 2 + CELL, 300.0]) == []


def test_a_bridge_that_is_sure_enough_carries_an_edge():
    assert found([HOLE[0]], uncertainty=UNSURE - 0.01) == []
    assert len(found([HOLE[0]], uncertainty=UNSURE)) == 1


def test_a_hole_over_the_front_is_seen_on_both_sides_of_the_turns_beginning():
    (stop,) = found([200.0], missing=(200.0, 0.0))
    assert stop.figures["length"] == pytest.approx(WIDTH, abs=2 * CELL)
    assert stop.place.side == "front"


def test_a_hole_at_the_outside_is_no_hole_at_the_inside():
    (stop,) = found([200.0], missing=(200.0, np.pi / 2))
    assert stop.place.side == "outside"
    assert stop.place.bearing == pytest.approx(np.pi / 2, abs=0.05)


def test_a_whole_scan_has_none():
    limb = limb_at()
    edge = Edge("top edge", np.zeros(1), np.array([200.0]))
    assert unseen_edges(scanned(calf_skin(), limb), limb, calf_skin(), edges=[edge]) == []


def test_it_is_settled_by_how_far_off_it_may_be():
    (stop,) = found([HOLE[0]])
    (own,) = verdict_on([stop], sure=(), side="left").stops
    assert own.figure.written == '"4.8 mm"'
    assert verdict_on([stop], sure=[own.figure], side="left").may_be_cut
    (wider,) = found([HOLE[0]], uncertainty=6.9)
    assert not verdict_on([wider], sure=[own.figure], side="left").may_be_cut
