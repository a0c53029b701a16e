"""Darts that open when flat, and those that do not."""

import numpy as np
import pytest

from flatten.unwrap.dart_openings import check_dart_openings, dart_openings
from flatten.unwrap.model import UnwrapError
from flatten.unwrap.panel import flatten_panel
from flatten.worn.curves import Dart, Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.defaults import edge
from tests.limbs import cone, limb_of


def cut(surface, low, high, *darts, size=5.0):
    ends = {"bottom": edge("bottom edge", (low,) * 4), "top": edge("top edge", (high,) * 4)}
    seams = [Seam("back", "laced", 25.0, [0.0], [np.pi])]
    return flatten_panel(cut_panels(surface, Cuts(seams=seams, darts=darts, **ends), edge_length=size)[0])


BULGE = limb_of(lambda h, b: 45.0 + 25.0 * np.cos(np.minimum(np.abs(h - 160.0) / 140.0, 1.4)) + 0.0 * b)
HOLLOW = limb_of(lambda h, b: 40.0 + 30.0 * ((h - 160.0) / 120.0) ** 2 + 0.0 * b)


@pytest.mark.parametrize("at", ["top", "bottom"])
@pytest.mark.parametrize("opening", [0.0, 4.0, 12.0])
def test_on_a_cone_a_slash_is_as_wide_flat_as_worn(at, opening):
    (found,) = dart_openings(cut(cone(40.0, 0.1), 20.0, 300.0, Dart("cut", "slash", at, 0.4, 60.0, opening)))
    # A chord of 12 mm on a circle of 42 mm is (12/42)²/24 shorter than its arc, and the mesh is 5 mm.
    assert found.width == pytest.approx(opening, abs=0.1)


def test_a_dart_in_a_bulge_opens_and_is_let_through():
    flat = cut(BULGE, 150.0, 300.0, Dart("cut", "dart", "top", 0.5, 90.0))
    (found,) = dart_openings(flat)
    assert found.width > 3.0
    check_dart_openings([flat])


def test_a_dart_in_a_hollow_is_refused_and_the_slash_that_is_named_opens():
    flat = cut(HOLLOW, 130.0, 270.0, Dart("cut", "dart", "bottom", 0.5, 60.0))
    (found,) = dart_openings(flat)
    with pytest.raises(UnwrapError, match="mm over one another when flat") as refusal:
        check_dart_openings([flat])
    named = float(str(refusal.value).split("opening about ")[1].split(" mm")[0])
    assert named > -found.width
    check_dart_openings([cut(HOLLOW, 130.0, 270.0, Dart("cut", "slash", "bottom", 0.5, 60.0, named))])


def test_a_dart_on_a_cone_takes_nothing_out_and_is_refused():
    with pytest.raises(UnwrapError, match="nothing to take out"):
        check_dart_openings([cut(cone(40.0, 0.1), 20.0, 300.0, Dart("cut", "dart", "top", 0.4, 60.0))])


def test_a_panel_without_darts_has_no_opening():
    assert dart_openings(cut(cone(40.0, 0.1), 20.0, 300.0)) == ()
