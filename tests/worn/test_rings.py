"""Rings of a finished piece: closed forms, the surface offset anew, and which rings a piece has."""

from dataclasses import replace

import numpy as np
import pytest

from flatten.limb.girths.girth import section_girth, tape_girth
from flatten.worn.neutral import neutral_surface
from flatten.worn.rings import APART, FROM_EDGE, gaps_of, girth_beside, rings_of
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, cone, cylinder, limb_of
from tests.test_fittings import EASE, UNDER, T, job


def rings(skin, **tables):
    found = found_on(skin)
    design = design_of(job(**tables), found)
    worn = neutral_surface(design.skin, design.wear, heights=design.heights).surface
    return design, {ring.name: ring for ring in rings_of(found.limb, worn, wear=design.wear, cuts=design.cuts)}


def test_a_cylinders_inside_is_skin_padding_and_ease_and_its_outside_a_thickness_further():
    _, found = rings(cylinder(60.0))
    assert found["middle"].drawn == pytest.approx(2 * np.pi * (60.0 + UNDER) + EASE, abs=2e-3)
    assert found["middle"].outside - found["middle"].drawn == pytest.approx(2 * np.pi * T, abs=1e-3)


def test_a_cones_ring_leans_with_it():
    """Of a cone of half angle a the radius grows by d / cos a at one height."""
    found = girth_beside(cone(40.0, 0.1), 100.0, by=lambda h, b: np.full(b.shape, 5.0))
    assert found == pytest.approx(2 * np.pi * (50.0 + 5.0 * np.hypot(1.0, 0.1)), abs=2e-3)


def test_on_a_calf_it_is_the_girth_of_the_surface_offset_anew():
    design, found = rings(limb_of(calf), edges={})
    inner, outer = (
        neutral_surface(design.skin, replace(design.wear, neutral=share), heights=design.heights).surface
        for share in (0.0, 1.0)
    )
    for ring in found.values():
        assert ring.drawn == pytest.approx(section_girth(inner, ring.height), abs=0.02)
        assert ring.outside == pytest.approx(tape_girth(outer, ring.height), abs=0.02)


def test_a_linings_inside_is_the_pieces():
    _, bare = rings(cylinder(60.0))
    _, found = rings(cylinder(60.0), lining={"thickness": "1 mm"})
    assert found["middle"].drawn == pytest.approx(bare["middle"].drawn, abs=1e-3)
    assert found["middle"].outside - bare["middle"].outside == pytest.approx(2 * np.pi, abs=1e-3)


def test_named_rings_go_all_round_and_lie_apart():
    design, found = rings(limb_of(calf), edges={})
    around = np.linspace(0, 2 * np.pi, 100)
    bottom, top = design.cuts.edges
    named = {name: ring.height for name, ring in found.items() if name}
    assert set(named) == {"bottom", "middle", "widest"}
    assert named["widest"] == 240.0
    assert min(named.values()) == pytest.approx(bottom.height(around).max() + FROM_EDGE, abs=0.01)
    assert max(named.values()) <= top.height(around).min() - FROM_EDGE
    assert np.diff(sorted(named.values())).min() >= APART


def test_where_no_ring_goes_all_round_there_is_none():
    edges = {"bottom": "50 mm", "top": {"front": "300 mm", "outside": "200 mm", "back": "62 mm", "inside": "200 mm"}}
    assert rings(cylinder(60.0), edges=edges)[1] == {}


def test_gaps_are_those_that_no_leather_covers():
    seams = [
        {"name": "back", "gap": "25 mm"},
        {"name": "front", "along": "front", "kind": "riveted"},
        {"name": "side", "along": "outside", "kind": "strapped", "gap": "18 mm"},
    ]
    design, _ = rings(cylinder(60.0))
    assert gaps_of(design.cuts) == sum(seam.gap for seam in design.cuts.seams)
    found = found_on(cylinder(60.0))
    assert gaps_of(design_of(job(seam=seams), found).cuts) == 43.0
