"""Tape girths: one sets the scale, several correct it smoothly, as simple laws and a general library have it."""

import numpy as np
import pytest
from limb_shapes import calf, points_of

from flatten.findings import message
from flatten.job.text import job_of
from flatten.limb.girths.girth import tape_girth, tape_height
from flatten.limb.girths.slips import likely_slips
from flatten.limb.girths.tapes import size_findings, tape_findings, tape_readings, weigh
from flatten.limb.girths.taping import TAPE_ERROR, WARP, WARP_LENGTH, corrected, tape_correction
from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import Frame, Landmark, Limb
from flatten.limb.surface.fit import fit_surface
from flatten.measuring import find, measure, read
from flatten.scan.model import Scan, ScanError
from flatten.scan.unit import AmbiguousUnitError
from flatten.words.say import texts
from tests.damage import known
from tests.scan import scan_files as files


def quiet(step):
    pass


def test_one_tape_is_a_scale_and_nothing_more():
    one = tape_correction(np.array([80.0]), scanned=np.array([250.0]), taped=np.array([262.0]))
    assert one.factor == pytest.approx(262 / 250, rel=1e-12)
    np.testing.assert_allclose(one.at(np.linspace(-50, 400, 10)), 1.0, rtol=1e-12)


def test_tapes_that_agree_are_a_scale_and_nothing_more():
    scanned = np.array([220.0, 380.0, 350.0])
    same = tape_correction(np.array([0.0, 280.0, 390.0]), scanned=scanned, taped=1.07 * scanned)
    assert same.factor == pytest.approx(1.07, rel=1e-12)
    np.testing.assert_allclose(same.at(np.linspace(-50, 400, 10)), 1.0, rtol=1e-12)


def test_the_correction_is_the_best_linear_unbiased_estimate():
    # Ordinary kriging by its own (Lagrange) system, which never names a mean (Matheron 1963).
    heights, scanned = np.array([0.0, 120.0, 290.0]), np.array([220.0, 280.0, 380.0])
    taped = scanned * [1.01, 1.03, 1.06]
    found = tape_correction(heights, scanned=scanned, taped=taped)

    def alike(a, b):
        return WARP**2 * np.exp(-((a[:, None] - b) ** 2) / (2 * WARP_LENGTH**2))

    system = np.block([[alike(heights, heights) + np.diag((TAPE_ERROR / taped) ** 2), np.ones((3, 1))],
                       [np.ones((1, 3)), np.zeros((1, 1))]])  # fmt: skip
    for height in (-30.0, 60.0, 290.0, 500.0):
        pull = np.linalg.solve(system, np.r_[alike(heights, np.array([height]))[:, 0], 1.0])[:3]
        assert np.log(found.factor * found.at(np.array([height]))[0]) == pytest.approx(
            pull @ np.log(taped / scanned), rel=1e-9
        )


def limb_and_scan():
    points = points_of(calf)
    scan = Scan("t", points, np.zeros_like(points), np.empty((0, 3), np.int64), "mm", "given", 1.0, 0, ())
    return Limb(LOWER_LEG, "left", Frame(np.zeros(3), np.eye(3)), (), "given"), scan


def test_a_scan_that_is_wider_at_one_end_is_brought_near_the_tape_everywhere():
    limb, scan = limb_and_scan()
    surface = fit_surface(scan.points, heights=(0.0, 300.0))
    heights = np.array([20.0, 150.0, 280.0])
    true = np.array([tape_girth(surface, h) for h in heights]) * [1.02, 1.0, 0.98]
    correction = tape_correction(heights, scanned=np.array([tape_girth(surface, h) for h in heights]), taped=true)
    moved = corrected(scan, limb, surface, correction)
    after = fit_surface(moved.points, heights=(1.0, 299.0))
    # A whole scale would leave 2 % of 290 mm, 5.8 mm; the error of the readings leaves below half of a tape's.
    left = [tape_girth(after, h * correction.factor) - g for h, g in zip(heights, true, strict=True)]
    assert np.abs(left).max() < TAPE_ERROR
    between = tape_girth(after, 85.0 * correction.factor) / tape_girth(surface, 85.0)
    assert 1.0 < between < 1.02


def settings(**table):
    return job_of({"scan": {"file": "leg.ply", "limb": "lower leg", **table}}, name="the test").scan


@pytest.fixture(scope="module")
def leg(tmp_path_factory):
    """A folder with the clean leg in inches as leg.ply."""
    limb = known("leg_a_clean")
    folder = tmp_path_factory.mktemp("leg")
    (folder / "leg.ply").write_bytes(files.ply_bytes(limb.vertices / 25.4, limb.faces))
    return folder


def test_an_ambiguous_unit_is_settled_by_a_tape_girth(leg):
    with pytest.raises(AmbiguousUnitError, match="give the unit, or a girth by tape") as caught:
        read(settings(), path=leg / "leg.ply", announce=quiet)
    assert caught.value.units == ("cm", "in")
    scan = read(settings(tape=[{"girth": "380 mm"}]), path=leg / "leg.ply", announce=quiet)
    assert (scan.unit, scan.unit_from) == ("in", "tape")


def test_a_tape_that_fits_no_unit_is_a_stop_in_the_unit_that_makes_a_leg(leg):
    # In cm it would be a calf of 150 mm with an ankle of 95.
    found = measure(settings(tape=[{"girth": "900 mm"}]), folder=leg, announce=quiet)
    assert (found.scan.unit, found.scan.unit_from, found.scan.scale) == ("in", "tape", 1.0)
    assert "tape.not followed" in codes(found.findings)


def test_a_girth_that_fits_one_unit_and_a_body_that_fits_the_other_settle_nothing(leg, tmp_path):
    # A calf of 220 mm in cm is a child's and one of 559 in inches nearly nobody's, but that is what the tape reads.
    limb = known("leg_a_clean")
    (tmp_path / "leg.ply").write_bytes(files.ply_bytes(limb.vertices * (220.0 / 380.0) / 10.0, limb.faces))
    with pytest.raises(ScanError, match="may be"):
        read(settings(tape=[{"girth": "559 mm"}]), path=tmp_path / "leg.ply", announce=quiet)


def test_several_tapes_are_told_with_what_is_left_of_each(leg):
    plain = measure(settings(unit="in"), folder=leg, announce=quiet)
    girths = {name: tape_girth(plain.skin, plain.limb.height_of(name)) for name in ("ankle", "widest")}
    tapes = [
        {"at": "ankle", "girth": f"{1.01 * girths['ankle']:.1f} mm"},
        {"girth": f"{0.99 * girths['widest']:.1f} mm"},
    ]
    found = find(plain.scan, settings(unit="in", tape=tapes), announce=quiet)
    for name, factor in (("ankle", 1.01), ("widest", 0.99)):
        now = tape_girth(found.skin, found.limb.height_of(name))
        assert abs(now - factor * girths[name]) < TAPE_ERROR
        assert abs(now - factor * girths[name]) < abs(girths[name] - factor * girths[name])
    told = " ".join(texts(found.findings))
    assert "At the ankle the scan was 1.0 % narrower than the tape; corrected, it is" in told
    assert "At the widest place the scan was 1.0 % wider than the tape; corrected, it is" in told
    assert "No tape girth was given" not in told


def test_a_height_in_mm_is_the_limbs_own_however_wrong_the_scans_scale_is(leg, tmp_path):
    plain = measure(settings(unit="in"), folder=leg, announce=quiet)
    limb = known("leg_a_clean")
    (tmp_path / "leg.ply").write_bytes(files.ply_bytes(0.85 * limb.vertices, limb.faces))
    tape = [{"at": f"{at} mm", "girth": float(tape_girth(plain.skin, at))} for at in (60.0, 140.0)]
    found = measure(settings(unit="mm", tape=tape), folder=tmp_path, announce=quiet)
    # 0.3 mm of a girth of 300: three times the fit's error on the clean leg. At the scan's own heights 4.7 % are lost.
    assert found.scan.scale == pytest.approx(1 / 0.85, rel=1e-3)


@pytest.fixture(scope="module")
def shin():
    """A lower leg whose widest is at 231 mm, where sin(1.3 pi h / 300) is greatest on it, and its skin."""
    _, scan = limb_and_scan()
    marks = (Landmark("ankle", 12.0), Landmark("widest", 115.4))
    limb = Limb(LOWER_LEG, "left", Frame(np.zeros(3), np.eye(3)), marks, "given")
    return limb, fit_surface(scan.points, heights=(0.0, 300.0))


def told_of(shin, *tapes, unit="m", unit_from="file"):
    """What is found of tapes (place, factor on the scan's own girth there) on the invented shin, and what is kept."""
    limb, skin = shin
    girths = [(at, factor * tape_girth(skin, tape_height(limb, at))) for at, factor in tapes]
    readings = tape_readings(girths, limb, skin)
    weighed = weigh(readings, limb, skin, unit=unit, unit_from=unit_from)
    return weighed, [*weighed.findings, *tape_findings(limb, skin, readings, weighed, unit=unit)]


def own_factor(shin, height, factor):
    """The factor on the girth at a height, for a tape there to ask for `factor`: heights in mm grow with the limb."""
    return factor * tape_girth(shin[1], height / factor) / tape_girth(shin[1], height)


def codes(findings):
    return {each.code: each for each in findings}


def test_the_tape_that_does_not_fit_the_others_is_named(shin):
    third = own_factor(shin, 12.0, 1.085)
    _, found = told_of(shin, ("widest", 1.03), ("ankle", 1.025), (12.0, third))
    (odd,) = [each for each in found if each.code == "tape.disagree"]
    assert odd.figures["odd"] == 12.0
    _, two = told_of(shin, ("ankle", 0.975), ("widest", 1.03))
    assert codes(two)["tape.disagree"].figures["odd"] is None


@pytest.mark.parametrize(
    ("factors", "expected"),
    [
        ((1.0, 1.02), {"tape.each"}),
        ((1.12, 1.13), {"tape.far off", "tape.each"}),
        ((0.975, 1.03), {"tape.disagree", "tape.each"}),
        ((1.09,), {"tape.one"}),
        ((0.87,), {"tape.size in doubt"}),
        ((1.36,), {"tape.size in doubt"}),
        ((0.5,), {"tape.not followed"}),
        ((2.54,), {"tape.not followed"}),
        ((0.92, 1.08), {"tape.contradict", "tape.each"}),
        ((1.0, 1.3), {"tape.contradict", "tape.each"}),
        ((2.54, 2.54), {"tape.not followed", "tape.each"}),
    ],
)
def test_what_tapes_say_of_a_scan_whose_unit_is_known(shin, factors, expected):
    _, found = told_of(shin, *zip(("ankle", "widest") if len(factors) > 1 else ("widest",), factors, strict=True))
    assert set(codes(found)) == expected
    stops = {"tape.size in doubt", "tape.not followed", "tape.contradict"}
    assert all((each.severity == "stop") == (each.code in stops) for each in found)


@pytest.mark.parametrize("wrong", [0.5, 1 / 2.54, 2.54, 1.3])
@pytest.mark.parametrize("right", ["ankle", "widest"])
def test_of_two_that_contradict_each_other_the_one_that_fits_the_unit_scales_the_scan(shin, right, wrong):
    other = "widest" if right == "ankle" else "ankle"
    weighed, found = told_of(shin, (right, 1.01), (other, wrong))
    assert [reading.at for reading in weighed.kept] == [right]
    told = codes(found)["tape.contradict"]
    assert told.figures["why"] == "unit"
    # The share by which the greater asks for more than the lesser.
    assert told.figures["apart"] == pytest.approx(max(1.01 / wrong, wrong / 1.01) - 1, rel=1e-9)


def test_two_that_contradict_each_other_and_the_unit_leave_the_scan_as_it_is(shin):
    weighed, found = told_of(shin, ("ankle", 1.3), ("widest", 1.15))
    assert weighed.kept == ()
    assert codes(found)["tape.contradict"].figures["why"] == "unit alone"


def test_two_of_three_outdo_a_unit_that_the_third_agrees_with_only_with_a_fourth(shin):
    # Two that agree are as many as one with the unit: then the unit tells; three are more.
    even, _ = told_of(shin, ("ankle", 1.2), ("widest", 1.2), (12.0, 1.0))
    assert [reading.at for reading in even.kept] == [12.0]
    third = own_factor(shin, 60.0, 1.2)
    more, found = told_of(shin, ("ankle", 1.2), ("widest", 1.2), (60.0, third), (12.0, 1.0))
    assert len(more.kept) == 3
    assert codes(found)["tape.contradict"].figures["why"] == "most"


@pytest.mark.parametrize(("at", "factor"), [("widest", 0.5), ("widest", 2.54), ("ankle", 1 / np.pi), ("ankle", 10.0)])
def test_a_slip_is_named_by_its_factor(shin, at, factor):
    slips = {0.5: "slip.half", 2.54: "slip.inch for cm", 1 / np.pi: "slip.width", 10.0: "slip.tenfold"}
    _, found = told_of(shin, (at, 1.02 * factor))
    assert slips[factor] in {slip.code for slip in codes(found)["tape.not followed"].figures["slips"]}


def test_a_girth_of_another_place_is_named(shin):
    ratio = tape_girth(shin[1], 12.0) / tape_girth(shin[1], 115.4)
    _, found = told_of(shin, ("widest", ratio))
    (doubt,) = [each for each in found if each.severity == "stop"]
    assert message("slip.place", landmark_or_widest="ankle") in doubt.figures["slips"]


def test_a_girth_of_another_limb_is_named_by_people_s_means():
    # ANSUR II, men and women as one: calf 383, thigh 620.5, wrist 165.5 mm round.
    slips = likely_slips(LOWER_LEG, "widest", 620.5 / 383.0, here=())
    assert message("slip.limb", kind="thigh", landmark_or_widest="widest") in slips
    assert likely_slips(LOWER_LEG, "widest", 165.5 / 383.0, here=())[0].figures["kind"] == "forearm"
    assert likely_slips(LOWER_LEG, 120.0, 5.2, here=()) == ()


def test_without_a_unit_tapes_alone_tell_the_size(shin):
    alone, found = told_of(shin, ("widest", 2.54), unit="none", unit_from="none")
    assert [reading.factor for reading in alone.kept] == [pytest.approx(2.54)]
    assert all(each.severity != "stop" for each in found)


@pytest.mark.parametrize(
    ("size", "doubted"), [(0.3, {"ankle", "widest"}), (1.0, set()), (1.3, set()), (2.5, {"ankle", "widest"})]
)
def test_a_limb_that_is_nobody_s_is_a_stop(size, doubted):
    # Calves are 150 to 600 mm round and ankles 90 to 400; this one has about 390 and 290.
    points = size * points_of(calf)
    marks = (Landmark("ankle", size * 12.0), Landmark("widest", size * 115.4))
    limb = Limb(LOWER_LEG, "left", Frame(np.zeros(3), np.eye(3)), marks, "given")
    found = size_findings(limb, fit_surface(points, heights=(0.0, size * 300.0)), 1.0)
    assert {each.figures["landmark_or_widest"] for each in found} == doubted
    assert {each.severity for each in found} <= {"stop"}


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        (1 / 0.97, "By the tape the scan was 3.0 % too small; it was scaled to it."),
        (1 / 1.04, "By the tape the scan was 4.0 % too large; it was scaled to it."),
        # 2 mm of 370 are 0.5 %: 19 of 20 readings of a scan that is right lie within twice that.
        (1 / 1.009, "Tape and scan agree to 0.9 %; the scan was scaled to the tape."),
        (1 / 0.987, "By the tape the scan was 1.3 % too small; it was scaled to it."),
    ],
)
def test_one_tape_tells_how_far_off_the_scan_was_and_how_sure_that_is(shin, factor, words):
    _, found = told_of(shin, ("widest", factor))
    (told,) = texts(found)
    assert told.startswith(words)
    assert "A tape is read to about ± 2 mm (0.5 %) at best" in told
