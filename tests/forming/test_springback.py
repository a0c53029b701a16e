"""What comes back of a bend: strips that dried round something, and a ring's opening against a true section's."""

import numpy as np
import pytest

from flatten.forming.springback import UNTESTED, springback_of
from flatten.leather.model import LeatherError
from flatten.leather.strips import read_strip_test
from flatten.limb.girths.girth import section_girth
from flatten.worn.rings import Ring
from tests.limbs import calf, cylinder, limb_of

STRIPS = 'load = "10 kg"\nwidth = "20 mm"\nthickness = "3.2 mm"\n' + "".join(
    f'[[strip]]\ndirection = "{way}"\nL0 = 100.0\nL2 = 105.0\n' for way in ("along", "across")
)


def curved(tmp_path, *tables, csv=False):
    path = tmp_path / ("strips.csv" if csv else "strips.toml")
    path.write_text("".join(tables) if csv else STRIPS + "".join(f"[[curved]]\n{table}\n" for table in tables))
    return read_strip_test(path)


def arc(radius, angle):
    """Chord and rise of an arc."""
    return 2 * radius * np.sin(angle / 2), radius * (1 - np.cos(angle / 2))


@pytest.mark.parametrize("share", [0.0, 0.08, 0.25])
def test_a_strip_that_dried_round_a_pipe_tells_what_comes_back(tmp_path, share):
    """Bent to the radius R in its middle and released, an elastic strip of angle a has R/(1 − s) and a·(1 − s)."""
    middle, angle = 40.0 + 1.6, 2.4
    chord, rise = arc(middle / (1 - share) - 1.6, angle * (1 - share))
    test = curved(tmp_path, f'direction = "along"\nround = 80.0\nchord = {chord:.12f}\nrise = {rise:.12f}')
    assert test.bent[0].mean == pytest.approx(share, abs=1e-9)
    assert test.bent[1] is None


def test_a_spreadsheet_holds_them_too(tmp_path):
    text = (
        "direction,L0,L2,load,width,thickness,round,chord,rise\n"
        "along,100,105,10,20,3.2,,,\nacross,100,105,10,20,3.2,,,\n"
        "along,,,,,,80,80,38\nacross,,,,,,80,82,36\n"
    )
    test = curved(tmp_path, text, csv=True)
    along, across = test.bent
    assert 0 < along.mean < across.mean < 0.2


def test_what_cannot_have_been_is_refused_with_its_place(tmp_path):
    with pytest.raises(LeatherError, match=r"curved strip 1 of 'strips\.toml'.*more sharply than the 80 mm"):
        curved(tmp_path, 'direction = "along"\nround = 80.0\nchord = 60.0\nrise = 29.0')
    with pytest.raises(LeatherError, match=r"has no rise"):
        curved(tmp_path, 'direction = "along"\nround = 80.0\nchord = 60.0')


def released(surface, height, gap, share):
    """How far apart (mm) the edges of a ring's leather lie when each piece of it turns by (1 − s) of what it did."""
    around = np.linspace(-np.pi, np.pi, 4001)
    points = surface.points(np.full(around.shape, height), around)[:, :2]
    steps = np.diff(points, axis=0)
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*steps.T))])
    inside = (run[:-1] > gap / 2) & (run[1:] < run[-1] - gap / 2)
    turns = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))[inside]
    lengths = np.hypot(*steps.T)[inside]

    def ends(angles):
        return np.array([np.sum(lengths * np.cos(angles)), np.sum(lengths * np.sin(angles))])

    middle = turns[len(turns) // 2]
    return np.hypot(*ends(middle + (1 - share) * (turns - middle))) - np.hypot(*ends(turns))


def test_a_ring_s_gap_grows_as_its_true_section_does():
    """By integrating the section's turning angles: within 2 mm at the least share, 9 mm at the greatest."""
    surface = limb_of(calf)
    for height in (60.0, 150.0, 240.0):
        (found,) = springback_of([Ring("", height, 0.0, 0.0, 0.0)], surface, gaps=25.0, test=None).rings
        least, most = (released(surface, height, 25.0, share) for share in UNTESTED)
        assert found.least == pytest.approx(least, abs=2.0)
        assert found.most == pytest.approx(most, abs=9.0)


def test_a_ring_of_a_cylinder_opens_as_an_arc_does():
    surface = cylinder(60.0)
    (ring,) = springback_of([Ring("top", 100.0, 0.0, 0.0, 0.0)], surface, gaps=25.0, test=None).rings
    assert ring.leather == pytest.approx(section_girth(surface, 100.0) - 25.0)
    for share, grows in zip(UNTESTED, (ring.least, ring.most), strict=True):
        assert grows == pytest.approx(released(surface, 100.0, 25.0, share), abs=0.2)
        # To first order the gap grows by the share of the whole girth.
        assert grows == pytest.approx(share * section_girth(surface, 100.0), rel=0.03 + 0.4 * share)
