import numpy as np
import pytest

from flatten.leather.amount import leather_mass
from flatten.leather.model import LeatherError
from flatten.leather.regions import region_index, regions_of
from flatten.limb.kind import LOWER_LEG, kind_named
from flatten.words.say import text


# 3.2 / 4.0 / 4.8 kg/m² at 3.2 / 4.0 / 4.8 mm [derived; density 1.0 g/cm³ from memory]
@pytest.mark.parametrize("thickness", [3.2, 4.0, 4.8])
def test_a_square_metre_weighs_its_thickness_in_kilograms(thickness):
    assert leather_mass(1e6, thickness=thickness) == pytest.approx(1000 * thickness)


def test_mass_grows_with_density():
    assert leather_mass(1000.0, thickness=2.0, density=0.9) == pytest.approx(1.8)


@pytest.mark.parametrize(("area", "thickness", "density"), [(-1, 3, 1), (1, 0, 1), (1, 3, 0), (float("nan"), 3, 1)])
def test_mass_of_impossible_leather_is_refused(area, thickness, density):
    with pytest.raises(LeatherError, match="has no mass"):
        leather_mass(area, thickness=thickness, density=density)


@pytest.mark.parametrize(
    ("bearing_deg", "side"),
    [
        (0, "front"),
        (44, "front"),
        (46, "outside"),
        (134, "outside"),
        (180, "back"),
        (-180, "back"),
        (-90, "inside"),
        (316, "front"),
    ],
)
def test_a_side_is_the_quarter_turn_about_it(bearing_deg, side):
    index = region_index(np.array([50.0]), np.radians([bearing_deg]), span=(0.0, 300.0))
    assert regions_of(LOWER_LEG)[index[0]] == (side, "lower")


@pytest.mark.parametrize(
    ("height", "level"), [(-20, "lower"), (79, "lower"), (81, "middle"), (179, "middle"), (181, "upper")]
)
def test_a_level_is_a_third_of_the_panel(height, level):
    index = region_index(np.array([float(height)]), np.array([np.pi]), span=(-20.0, 280.0))
    assert regions_of(LOWER_LEG)[index[0]] == ("back", level)


@pytest.mark.parametrize(
    ("kind", "height", "bearing", "words"),
    [
        ("lower leg", 31.4, 0.1, "at the front, 31 mm above the ankle"),
        ("lower leg", -4.0, -np.pi / 2, "at the inside, 4 mm below the ankle"),
        ("forearm", 0.2, np.pi / 2, "at the thumb side, at the wrist"),
        ("thigh", 120.0, np.pi, "at the back, 120 mm above the kneecap"),
        ("upper arm", 10.0, 3 * np.pi / 2, "at the inside, 10 mm above the elbow’s crease"),
    ],
)
def test_a_place_is_told_in_words(kind, height, bearing, words):
    assert text(kind_named(kind).at(height, bearing)) == words
