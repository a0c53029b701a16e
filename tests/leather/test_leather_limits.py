import pytest

from flatten.leather.limits import CASED, DRY, PRESETS, given_limits, hardest, leather_limits, share
from flatten.leather.model import LeatherError
from flatten.leather.strips import read_strip_test

READINGS = """
load = "10 kg"
width = "20 mm"
thickness = "4 mm"

[[strip]]
direction = "along"
L0 = "100.0 mm"
L1 = "101.5 mm"
L2 = "104.0 mm"
L3 = "103.5 mm"
L4 = "102.8 mm"

[[strip]]
direction = "along"
L0 = "100.0 mm"
L1 = "102.5 mm"
L2 = "106.0 mm"
L3 = "105.0 mm"
L4 = "104.0 mm"

[[strip]]
direction = "across"
L0 = "100.0 mm"
L2 = "108.0 mm"

[[unloaded]]
direction = "along"
wet = "100 mm"
dried = "98.5 mm"
"""


def written(folder, text=READINGS):
    (folder / "strips.toml").write_text(text, "utf8")
    return folder / "strips.toml"


@pytest.mark.parametrize(("value", "ratio"), [("5 %", 0.05), ("2.5%", 0.025), (".5 %", 0.005), (0.05, 0.05), (0, 0.0)])
def test_a_share_is_a_percentage_or_a_ratio(value, ratio):
    assert share(value, name="stretch_along") == pytest.approx(ratio, rel=1e-15)


@pytest.mark.parametrize("value", ["5", "five", "-5 %", "100 %", 5, 1.0, -0.01, float("nan"), float("inf"), True, None])
def test_a_share_that_makes_no_sense_is_named(value):
    with pytest.raises(LeatherError, match="squeeze_across is"):
        share(value, name="squeeze_across")


# From memory: an opinion, labelled so where the user meets it.
def test_presets_are_the_stated_opinion():
    assert (CASED.stretch_along, CASED.stretch_across, CASED.squeeze_along, CASED.squeeze_across) == (
        (0.05, 0.05, 0.03, 0.03)
    )
    assert (DRY.stretch_along, DRY.stretch_across, DRY.squeeze_along, DRY.squeeze_across) == (0.02, 0.02, 0.01, 0.01)


def test_presets_are_found_by_name(tmp_path):
    assert leather_limits("cased", folder=tmp_path) is PRESETS["cased"]
    assert leather_limits("dry", folder=tmp_path).in_force is DRY


def test_an_unknown_preset_is_refused(tmp_path):
    with pytest.raises(LeatherError, match="'soaked'; write 'cased' or 'dry', a strip test's"):
        leather_limits("soaked", folder=tmp_path)


FOUR = {"stretch_along": "6 %", "stretch_across": 0.015, "squeeze_along": "2 %", "squeeze_across": "0.5 %"}


def test_four_figures_make_limits(tmp_path):
    limits = leather_limits(FOUR, folder=tmp_path)
    assert limits.in_force.stretch_along == 0.06
    assert limits.in_force.source == "given"
    assert limits.dry.stretch_along == 0.02
    assert limits.dry.stretch_across == 0.015
    assert limits.dry.squeeze_across == 0.005


def test_a_missing_figure_is_named():
    with pytest.raises(LeatherError, match="no squeeze_across"):
        given_limits({name: value for name, value in FOUR.items() if name != "squeeze_across"})


def test_an_unknown_figure_is_named():
    with pytest.raises(LeatherError, match="unknown stretch;"):
        given_limits(FOUR | {"stretch": "5 %"})


def test_hard_work_reaches_further_only_where_the_leather_does():
    limits = hardest(given_limits(FOUR | {"stretch_across": "14 %"}).cased)
    assert (limits.stretch_along, limits.stretch_across, limits.squeeze_along) == (0.10, 0.14, 0.05)


def test_a_strip_test_gives_its_means(tmp_path):
    test = read_strip_test(written(tmp_path))
    assert test.wet[0].mean == pytest.approx(0.05)
    assert (test.wet[0].least, test.wet[0].greatest, test.wet[0].strips) == (
        pytest.approx(0.04),
        pytest.approx(0.06),
        2,
    )
    assert test.dry[0].mean == pytest.approx(0.02)
    assert test.kept[0].mean == pytest.approx(0.034)
    # (L3 - L4) / (L3 - L0): 0.7 / 3.5 and 1 / 5.
    assert test.springback[0].mean == pytest.approx(0.2)
    assert test.shrinkage[0].mean == pytest.approx(0.015)
    assert test.dry[1] is test.kept[1] is test.springback[1] is test.shrinkage[1] is None


def test_the_load_makes_a_stress(tmp_path):
    # 10 kg = 98.07 N; over 20 × 4 mm that is 1.226 N/mm² [derived]
    assert read_strip_test(written(tmp_path)).stress == pytest.approx(1.226, abs=0.0005)


def test_a_strip_test_sets_the_stretch_and_leaves_the_squeeze_to_the_preset(tmp_path):
    written(tmp_path)
    limits = leather_limits("strips.toml", folder=tmp_path)
    assert limits.in_force is limits.cased
    assert limits.test.load_kg == 10.0
    # Along, two strips grew by 4 and 6 %: the weaker one is the limit, not their mean.
    assert limits.cased.stretch_along == pytest.approx(0.04)
    assert limits.cased.stretch_across == pytest.approx(0.08)
    assert limits.cased.squeeze_along == CASED.squeeze_along
    assert limits.cased.source == "strip test"
    assert limits.dry == DRY


def test_dry_readings_in_both_directions_set_the_dry_limit(tmp_path):
    written(tmp_path, READINGS.replace('L2 = "108.0 mm"', 'L1 = "101.2 mm"\nL2 = "108.0 mm"'))
    dry = leather_limits("strips.toml", folder=tmp_path).dry
    # Along, two strips grew by 1.5 and 2.5 % dry.
    assert (dry.stretch_along, dry.stretch_across) == (pytest.approx(0.015), pytest.approx(0.012))
    assert (dry.squeeze_along, dry.source) == (DRY.squeeze_along, "strip test")


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('load = "10 kg"', "", "the load None; write the whole mass"),
        ('load = "10 kg"', "load = 10", "the load 10; write the whole mass"),
        ('load = "10 kg"', 'load = "-1 kg"', "the load '-1 kg'"),
        ('width = "20 mm"', "", "has no width"),
        ('thickness = "4 mm"', 'thickness = "0 mm"', "thickness = 0 mm; it must be above 0"),
        ('L2 = "108.0 mm"', "", "strip 3 of 'strips.toml' has no L2"),
        ('L2 = "108.0 mm"', 'L2 = "99 mm"', "strip 3 .* reads L2 = 99 mm against L0 = 100 mm"),
        ('L2 = "108.0 mm"', 'L2 = "208 mm"', "strip 3 .* below twice L0"),
        ('L2 = "108.0 mm"', 'L2 = "wet"', "strip 3 .*: L2: 'wet' is not a length"),
        ('L4 = "102.8 mm"', 'L4 = "103.9 mm"', "strip 1 .* grew when its load was taken off"),
        ('direction = "across"', 'direction = "up"', "strip 3 .* has the direction 'up'"),
        ('direction = "across"', 'direction = "along"', "has no strip across the grain"),
        ('L1 = "101.5 mm"', 'L9 = "101.5 mm"', "strip 1 .* unknown key 'L9'"),
        ('dried = "98.5 mm"', 'dried = "101 mm"', "unloaded strip 1 .* must shrink"),
        ("[[strip]]", "[[strips]]", "unknown key 'strips'"),
        ("[[strip]]", "[[strip", "is no TOML text"),
    ],
)
def test_a_reading_that_makes_no_sense_is_named(tmp_path, old, new, message):
    assert old in READINGS
    with pytest.raises(LeatherError, match=message):
        read_strip_test(written(tmp_path, READINGS.replace(old, new)))


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(LeatherError, match=r"strip test 'none\.toml' cannot be read"):
        leather_limits("none.toml", folder=tmp_path)
