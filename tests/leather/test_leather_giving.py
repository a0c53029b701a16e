"""Where leather must give: places by closed forms, and mm by another way of summing up stretch."""

import numpy as np
import pytest
from analytic_panels import grid, sheet
from matplotlib.tri import LinearTriInterpolator, Triangulation
from scipy.special import erf

from flatten.leather.giving import ABOUT, LEVEL, MOST_PLACES, NOTABLE, REACH, places_that_give
from flatten.leather.limits import PRESETS
from flatten.leather.stretch import stretch_report
from flatten.leather.tensors import PATCH_RADIUS
from flatten.limb.kind import LOWER_LEG
from flatten.unwrap.model import Limits
from flatten.unwrap.panel import flatten_panel
from flatten.worn.curves import Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from flatten.worn.defaults import edge
from tests.limbs import limb_of

WIDE = Limits(0.1, 0.1, 0.1, 0.1, "given")
HEIGHT, BEARING = 170.0, 1.1


def told(flat):
    return places_that_give(flat, stretch_report(flat, kind=LOWER_LEG, limits=PRESETS["cased"]))


def bell(x, middle, width):
    return np.exp(-0.5 * ((x - middle) / width) ** 2)


def bell_sum(x, middle, width):
    """The integral of `bell` up to x."""
    return width * np.sqrt(np.pi / 2) * (1.0 + erf((x - middle) / (np.sqrt(2.0) * width)))


def stretched(*bells, turn=0.0, grain=0.0, across=False):
    """A sheet of 480 × 32 mm that grows lengthwise by bells of (share, middle, width); turned by `turn`, rad, its grain
    by as much and `grain` more."""
    uv, faces = grid(120, 8)
    x = uv[:, 0] + sum(share * bell_sum(uv[:, 0], middle, width) for share, middle, width in bells)
    worn = np.stack([x, uv[:, 1], np.zeros(len(uv))], axis=1)
    if across:
        # Heights run along x then.
        uv, worn = uv[:, ::-1] * [1.0, -1.0], worn[:, [1, 0, 2]] * [1.0, -1.0, 1.0]
    cos, sin = np.cos(turn), np.sin(turn)
    return sheet(uv @ np.array([[cos, sin], [-sin, cos]]), worn, faces, grain=np.pi / 2 + turn + grain)


SHARES = ((0.03, -150.0, 25.0), (0.06, 0.0, 25.0), (-0.04, 150.0, 25.0))


@pytest.mark.parametrize(("turn", "grain"), [(0.0, 0.0), (0.9, 0.0), (0.0, 0.7)])
def test_places_are_the_middles_of_what_gives_and_mm_its_integral(turn, grain):
    """A patch is a disc of 10 mm, so it sees a bell of 25 mm as one of √(25² + 10²/4): lines end at half of that."""
    found = told(stretched(*SHARES, turn=turn, grain=grain))
    assert [give.grows > 0.0 for give in found] == [True, True, False]
    seen = np.sqrt(25.0**2 + 0.25 * PATCH_RADIUS**2) * np.sqrt(2.0 * np.log(1.0 / LEVEL))
    back = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    for give, (share, middle, width) in zip(found, [SHARES[1], SHARES[0], SHARES[2]], strict=True):
        ends = np.array([give.start, give.end]) @ back
        assert ends[:, 0].mean() == pytest.approx(middle, abs=5.0)
        assert np.linalg.norm(np.diff(ends, axis=0)) == pytest.approx(give.length)
        assert give.length == pytest.approx(2.0 * seen, abs=4.0)
        assert abs(np.diff(ends[:, 1])[0]) < 0.1 * give.length
        grown = share * np.diff(bell_sum(np.sort(ends[:, 0]), middle, width))[0]
        assert give.grows == pytest.approx(grown, abs=0.02)
        assert give.spot.stretch == pytest.approx(1.0 + share * 25.0 / np.hypot(25.0, 5.0), abs=0.001)


@pytest.mark.parametrize(("across", "up"), [(False, 0.0), (True, 1.0)])
def test_the_way_of_a_line_is_told_against_the_limb(across, up):
    (give,) = told(stretched((0.05, 0.0, 25.0), across=across))
    assert give.up == pytest.approx(up, abs=0.1)


def test_what_hardly_gives_is_no_place_and_a_long_one_is_told_as_far_as_hands_reach():
    assert told(stretched((0.8 * NOTABLE, 0.0, 25.0))) == ()
    (give,) = told(stretched((0.05, 0.0, 150.0)))
    assert give.length == pytest.approx(2.0 * REACH)


def test_two_middles_are_no_nearer_than_a_hand_and_few_are_told():
    near = told(stretched((0.05, -0.4 * ABOUT, 12.0), (0.04, 0.4 * ABOUT, 12.0)))
    assert len(near) == 1
    many = told(stretched(*((0.02 + 0.005 * n, -200.0 + 80.0 * n, 15.0) for n in range(6))))
    assert [round(give.spot.bearing * 60.0, -1) for give in many] == pytest.approx([200.0, 120.0, 40.0], abs=10.0)
    assert len(many) == MOST_PLACES


def test_a_place_that_lies_on_the_line_of_another_is_not_told_again():
    """Both bells grow by half of the greater all the way between them, 90 mm; 180 mm apart they do not."""
    for apart, places in ((90.0, 1), (180.0, 2)):
        found = told(stretched((0.06, -0.5 * apart, 30.0), (0.055, 0.5 * apart, 30.0)))
        assert len(found) == places


@pytest.fixture(scope="module")
def bulge():
    """A tube with one bulge of 9 mm on its outside, laid flat."""

    def radius(h, b):
        off = np.hypot(h - HEIGHT, 60.0 * (np.mod(b - BEARING + np.pi, 2 * np.pi) - np.pi))
        return 60.0 + 9.0 * np.exp(-0.5 * (off / 32.0) ** 2)

    cuts = Cuts(
        edge("bottom edge", (60.0,) * 4), edge("top edge", (280.0,) * 4), (Seam("back", "laced", 25.0, [0.0], [np.pi]),)
    )
    (panel,) = cut_panels(limb_of(radius, low=20.0, high=320.0), cuts, edge_length=6.0)
    return flatten_panel(panel, limits=WIDE)


def test_forming_begins_at_the_middle_of_a_bulge(bulge):
    first = told(bulge)[0]
    assert first.grows > 0.0
    off = np.hypot(first.spot.height - HEIGHT, 69.0 * (first.spot.bearing - BEARING))
    # The centre of a face of 6 mm, and a patch of 10 mm that hardly changes about the middle.
    assert off <= PATCH_RADIUS
    assert (first.spot.side, first.spot.level) == ("outside", "middle")


def test_what_is_told_of_the_whole_piece_is_told_of_its_place(bulge):
    report = stretch_report(bulge, kind=LOWER_LEG, limits=PRESETS["cased"])
    found = places_that_give(bulge, report)
    grows, squeezed = [g for g in found if g.grows > 0.0], [g for g in found if g.grows < 0.0]
    assert (grows[0].spot, squeezed[0].spot) == (report.most, report.least)
    assert report.least.stretch < report.smallest.stretch - 1e-4


def test_mm_are_the_worn_length_of_the_told_line_less_its_flat_one(bulge):
    """The line drawn on the flat piece and bent with it, by matplotlib's interpolation over the same triangles."""
    mesh = bulge.panel.mesh
    triangles = Triangulation(*bulge.uv.T, mesh.faces)
    worn = [LinearTriInterpolator(triangles, axis) for axis in mesh.vertices.T]
    found = told(bulge)
    assert {give.grows > 0.0 for give in found} == {True, False}
    for give in found:
        line = np.linspace(give.start, give.end, 20_001)
        there = np.stack([axis(*line.T) for axis in worn], axis=1)
        length = np.linalg.norm(np.diff(there, axis=0), axis=1).sum()
        assert give.grows == pytest.approx(length - np.linalg.norm(line[-1] - line[0]), abs=0.005)
