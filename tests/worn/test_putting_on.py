"""On and off, by the geometry of round sections."""

from dataclasses import replace

import numpy as np
import pytest

from flatten.worn.corrections import Correction, GirthChange
from flatten.worn.curves import Seam
from flatten.worn.defaults import edge
from flatten.worn.neutral import Wear
from flatten.worn.panel import CutError
from flatten.worn.putting_on import HARD_STRAIN, opened_chord, putting_on
from tests.limbs import cone, cylinder

ENDS = {"bottom": edge("bottom edge", (20.0,) * 4), "top": edge("top edge", (300.0,) * 4)}
WEAR = Wear((3.0,) * 4, 8.0, 3.2, 0.5)


def laced(gap=25.0, bearing=np.pi, kind="laced"):
    return Seam(f"{bearing}", kind, gap, [0.0], [bearing])


def circle(radius, count=7200):
    turn = 2 * np.pi * np.arange(count) / count
    return radius * np.column_stack([np.cos(turn), np.sin(turn)])


@pytest.mark.parametrize("points", [circle(60.0), circle(60.0)[::-1]])
def test_a_ring_slit_open_springs_as_a_curved_bar_does(points):
    """Slit ring pulled apart: opening = ∫ bend · lever²/2R ds = 3π/2 · bend · R² for a small bend (Castigliano)."""
    bend = 1e-6
    assert opened_chord(points, gap=0.0, bend=bend) == pytest.approx(1.5 * np.pi * bend * 60.0**2, rel=2e-3)


def test_an_unbent_bow_opens_no_further_than_its_gap():
    chord = 2 * 60.0 * np.sin(0.5 * 25.0 / 60.0)
    assert opened_chord(circle(60.0), gap=25.0, bend=0.0) == pytest.approx(chord, abs=1e-3)


def test_a_gap_longer_than_the_section_is_refused():
    with pytest.raises(CutError, match="leaves nothing"):
        opened_chord(circle(10.0), gap=70.0, bend=0.0)


def test_a_hardened_tube_goes_on_where_its_opening_passes_the_limbs_width():
    """On a cylinder the limb in its padding is as wide as the neutral circle less ease and half a thickness."""
    radius = 60.0
    found = putting_on(cylinder(radius), seams=[laced()], wear=WEAR, hardened=True, **ENDS)
    assert found.needs == pytest.approx(2 * (radius - 8.0 / (2 * np.pi) - 1.6), abs=1e-3)
    opens = opened_chord(circle(radius), gap=25.0, bend=2 * HARD_STRAIN / 3.2)
    assert found.opens == pytest.approx(opens, rel=1e-3)
    assert found.way == ("springs" if opens >= found.needs else "too stiff")


def test_room_for_a_muscle_is_room_for_putting_on():
    """The limb is not flexed then: its girth is less than the piece's by what the muscle swells, too."""
    roomy = replace(WEAR, flexed=Correction((GirthChange(6.0),)))
    plain, found = (
        putting_on(cylinder(60.0), seams=[laced()], wear=wear, hardened=True, **ENDS) for wear in (WEAR, roomy)
    )
    assert plain.needs - found.needs == pytest.approx(6.0 / np.pi, abs=1e-6)


def test_thicker_hardened_leather_is_too_stiff_and_a_wider_gap_is_named():
    thick = Wear((3.0,) * 4, 8.0, 6.0, 0.5)
    found = putting_on(cylinder(60.0), seams=[laced()], wear=thick, hardened=True, **ENDS)
    assert found.way == "too stiff"
    assert found.gap is not None
    wider = putting_on(cylinder(60.0), seams=[laced(found.gap)], wear=thick, hardened=True, **ENDS)
    assert wider.way == "springs"
    narrower = putting_on(cylinder(60.0), seams=[laced(found.gap - 5.0)], wear=thick, hardened=True, **ENDS)
    assert narrower.way == "too stiff"


def test_the_narrow_end_of_a_cone_is_the_stiffest():
    found = putting_on(cone(35.0, 0.1), seams=[laced(10.0)], wear=WEAR, hardened=True, **ENDS)
    assert found.height == pytest.approx(20.0, abs=1.0)


@pytest.mark.parametrize(
    ("seams", "hardened", "way"),
    [
        ([laced()], False, "bends"),
        ([laced(), laced(bearing=0.0)], True, "apart"),
        ([laced(), laced(gap=0.0, bearing=0.0, kind="stitched")], False, "bends"),
        ([laced(gap=0.0, kind="stitched")], False, "closed"),
    ],
)
def test_the_way_on_is_told_by_the_seams_that_open(seams, hardened, way):
    assert putting_on(cylinder(60.0), seams=seams, wear=WEAR, hardened=hardened, **ENDS).way == way


def test_a_seam_without_height_is_refused():
    ends = {"bottom": edge("bottom edge", (300.0,) * 4), "top": edge("top edge", (20.0,) * 4)}
    with pytest.raises(CutError, match="no height between"):
        putting_on(cylinder(60.0), seams=[laced()], wear=WEAR, hardened=True, **ends)
