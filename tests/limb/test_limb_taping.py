"""Tape girths: one sets the scale, several correct it smoothly, as simple laws and a general library have it."""

import numpy as np
import pytest
from limb_shapes import calf, points_of

from flatten.job.text import job_of
from flatten.limb.girths.girth import tape_girth
from flatten.limb.girths.taping import TAPE_ERROR, WARP, WARP_LENGTH, corrected, tape_correction
from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import Frame, Limb
from flatten.limb.surface.fit import fit_surface
from flatten.measuring import find, measure, read, tape_findings
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


def test_a_tape_that_fits_no_unit_settles_nothing(leg):
    with pytest.raises(ScanError, match="may be"):
        read(settings(tape=[{"girth": "900 mm"}]), path=leg / "leg.ply", announce=quiet)


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


def test_the_tape_that_does_not_fit_the_others_is_named():
    tapes = settings(tape=[{"girth": 309.0}, {"at": "ankle", "girth": 306.0}, {"at": "120 mm", "girth": 360.0}]).tape
    told = " ".join(texts(tape_findings(LOWER_LEG, tapes, scanned=np.full(3, 300.0), left=[0.5] * 3)))
    assert "The others agree without the one at 120 mm." in told
    two = " ".join(texts(tape_findings(LOWER_LEG, tapes[1:], scanned=np.full(2, 300.0), left=[0.5] * 2)))
    assert "apart" in two
    assert "The others" not in two


@pytest.mark.parametrize(
    ("factors", "loud", "apart"),
    [((1.0, 1.02), False, False), ((1.12, 1.13), True, False), ((0.96, 1.04), False, True), ((0.87,), True, False)],
)
def test_much_is_told_loudly(factors, loud, apart):
    tapes = settings(tape=[{"girth": 300.0 * factor} for factor in factors]).tape
    told = " ".join(
        texts(tape_findings(LOWER_LEG, tapes, scanned=np.full(len(factors), 300.0), left=[0.5] * len(factors)))
    )
    assert ("wrong unit or a slip of the tape" in told) == loud
    assert ("apart" in told) == apart
    assert ("15 % too large" in told) == (factors[0] == 0.87)


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        (1 / 0.97, "By the tape the scan was 3.0 % too small, and was scaled to it."),
        (1 / 1.04, "By the tape the scan was 4.0 % too large, and was scaled to it."),
        # 2 mm of 400 are 0.5 %: 19 of 20 readings of a scan that is right lie within twice that.
        (1 / 1.009, "The tape and the scan agree to 0.9 %, and the scan was scaled to the tape."),
        (1 / 0.989, "By the tape the scan was 1.1 % too small, and was scaled to it."),
    ],
)
def test_one_tape_tells_how_far_off_the_scan_was_and_how_sure_that_is(factor, words):
    tapes = settings(tape=[{"girth": 400.0}]).tape
    (told,) = texts(tape_findings(LOWER_LEG, tapes, scanned=np.array([400.0 / factor]), left=[0.0]))
    assert told.startswith(words)
    assert "A tape is read to about ± 2 mm, 0.5 % of this girth" in told
