"""The range of girths, what holds a piece up, and edges on tender places."""

import numpy as np
import pytest

from flatten.limb.kind import FOREARM, LOWER_LEG, THIGH, UPPER_ARM
from flatten.limb.model import Frame, Landmark, Limb
from flatten.worn.curves import Seam
from flatten.worn.cuts import Cuts
from flatten.worn.defaults import default_top, edge
from flatten.worn.neutral import Wear
from flatten.worn.wearing import fit_range, near_places, wearing_of
from tests.limbs import calf, cone, limb_of

WEAR = Wear((3.0,) * 4, 8.0, 3.2, 0.5)


def seam(kind="laced", gap=25.0, bearing=np.pi, **more):
    return Seam(f"{kind} {bearing}", kind, gap, [0.0], [bearing], **more)


def limb(kind=LOWER_LEG, **marks):
    marks = marks or {"ankle": 0.0, "widest": 240.0, "knee": 350.0}
    frame = Frame(np.zeros(3), np.eye(3))
    return Limb(kind, "left", frame, tuple(Landmark(*mark) for mark in marks.items()), "given")


def test_laces_from_15_to_40_mm_fit_378_to_403_on_a_calf_of_388():
    """The drawn gap of 25 mm fits the limb itself: 10 mm less when drawn together, 15 mm more when let out."""
    found = fit_range(388.0, seams=[seam()], kind=LOWER_LEG, neutral=0.5)
    assert (found.least, found.most) == (378.0, 403.0)
    assert (found.closes, found.drawn, found.room) == ((15.0, 40.0), 25.0, 10.0)


def test_two_laced_seams_fit_twice_the_range_and_a_strap_its_row_of_holes():
    two = fit_range(388.0, seams=[seam(), seam(bearing=0.0)], kind=LOWER_LEG, neutral=0.5)
    assert (two.least, two.most) == (368.0, 418.0)
    mixed = fit_range(388.0, seams=[seam(), seam("strapped", 30.0, 0.0)], kind=FOREARM, neutral=0.5)
    assert (mixed.least, mixed.most) == (388.0 - 10 - 20, 388.0 + 15 + 20)
    assert (mixed.laced, mixed.strapped) == (1, 1)


def test_a_gap_beyond_the_usual_is_the_end_of_its_own_range():
    found = fit_range(388.0, seams=[seam(gap=60.0)], kind=LOWER_LEG, neutral=0.5)
    assert (found.closes, found.most, found.room) == ((15.0, 60.0), 388.0, 0.0)


@pytest.mark.parametrize("kind", ["open", "stitched"])
def test_no_range_without_laces_or_straps(kind):
    assert fit_range(388.0, seams=[seam(kind, 0.0)], kind=LOWER_LEG, neutral=0.5) is None


def test_the_doubt_is_that_of_scan_swelling_and_thickness():
    """4 mm for a calf, 9 mm for a thigh [published: ISO 20685, as tabled in Anthropometry, Apparel Sizing and Design,
    p. 41; that a calf counts as small is this project's choice], 4 mm of swelling [published: Stick et al. 1989, girth
    derived], π · 0.3 mm of thickness: the root of the sum of squares."""
    for kind, error in ((LOWER_LEG, 4.0), (THIGH, 9.0)):
        found = fit_range(388.0, seams=[seam()], kind=kind, neutral=0.5)
        assert found.doubt == pytest.approx(np.sqrt(error**2 + 16 + (np.pi * 0.3) ** 2))
    assert fit_range(165.0, seams=[seam()], kind=FOREARM, neutral=0.5).swelling == 0.0


def worn_on(skin, top, hardened=False):
    return wearing_of(
        limb(),
        skin,
        skin,
        cuts=Cuts(edge("bottom edge", (20.0,) * 4), edge("top edge", top), (seam(),)),
        wear=WEAR,
        hardened=hardened,
    )


def test_a_cone_that_widens_upwards_holds_nothing():
    """On a cone the widest section is the top's: it lacks the whole ease of 8 mm."""
    assert worn_on(cone(35.0, 0.08), (300.0,) * 4).catch == pytest.approx(-8.0)


def test_a_piece_that_reaches_over_the_calf_is_held_by_it():
    skin = limb_of(lambda h, b: 60.0 - 15.0 * ((h - 200.0) / 150.0) ** 2 + 0.0 * b)
    # The narrowing above the widest, 2π · 15 · (100/150)² = 41.9 mm, less 8 mm of ease.
    assert worn_on(skin, (300.0,) * 4).catch == pytest.approx(2 * np.pi * 15.0 * (100 / 150) ** 2 - 8.0, abs=0.1)


def test_joints_and_openings_are_told_together():
    found = worn_on(limb_of(calf), (325.0, 295.0, 265.0, 295.0), hardened=True)
    assert [touch.motion.edge for touch in found.touches] == ["top", "bottom", "bottom"]
    assert found.on.way in ("springs", "too stiff")


@pytest.mark.parametrize(
    ("top", "near"),
    [
        ((325, 295, 265, 295), ()),
        ((325, 325, 265, 295), ("fibula",)),
        ((325, 295, 315, 295), ("fibula", "knee hollow")),
        ((345, 345, 330, 345), ("fibula", "knee hollow")),
        ((300, 290, 260, 290), ()),
    ],
)
def test_edges_on_the_nerve_and_in_the_knees_hollow_are_seen(top, near):
    """The common peroneal nerve lies under the skin at the head of the fibula [published: PMC8567814]."""
    assert near_places(limb(), edges=(edge("bottom edge", (0.0,) * 4), edge("top edge", top))) == near


def test_the_trades_own_edges_clear_every_tender_place():
    for one in (limb(), limb(FOREARM, wrist=0.0, widest=180.0, elbow=250.0), limb(THIGH, kneecap=0.0)):
        bottom, top = one.kind.bottom_edge, default_top(one, (-20.0, 400.0))
        assert near_places(one, edges=(edge("bottom edge", bottom), edge("top edge", top))) == ()


def test_other_limbs_have_tender_places_of_their_own():
    level = edge("bottom edge", (20.0,) * 4), edge("top edge", (240.0,) * 4)
    assert near_places(limb(THIGH, kneecap=0.0), edges=level) == ("knee hollow",)
    assert near_places(limb(FOREARM, wrist=0.0, elbow=250.0), edges=level) == ("crook of the elbow",)
    assert near_places(limb(UPPER_ARM, elbow=0.0), edges=level) == ()
