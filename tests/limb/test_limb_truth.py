"""Girths, axis and front against known truth: the six test scans, and limbs with seeded random damage."""

import json
import time
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from flatten.errors import CalfskinError
from flatten.job.settings import ScanSettings
from flatten.limb.find import find_limb
from flatten.limb.kind import kind_named
from flatten.limb.model import FrontDirection, FrontError
from flatten.measuring import find
from flatten.scan.model import ScanError
from flatten.scan.read import read_scan
from flatten.scan.scale import scaled
from flatten.words.say import texts
from tests.damage import NAMES as NAMES_OF_LIMBS
from tests.damage import UPPER_NAMES, damaged
from tests.repairs import codes
from tests.sections import girths_in_plane

SCANS = Path(__file__).parent.parent / "data" / "scans"
NAMES = ("leg_a_clean", "leg_b_phone", "leg_c_floor", "leg_a_soup", "forearm_b_phone", "forearm_c_nodes")

MODERATE_RMS, MODERATE_MAX, CLEAN_RMS = 0.5, 1.5, 0.1
"""mm of girth. ISO 20685 allows a scanner 4 mm on small girths; the reader must not add a third of that."""

NEAR_CLOTH = 15.0
"""mm. Skin so near to a cuff's rim is bridged from beyond."""


@cache
def errors(name):
    """Errors (m,2) of section and tape at every truth plane within the trusted range, against the scanned limb."""
    facts = json.loads((SCANS / f"{name}.json").read_text("utf8"))
    scan = read_scan(SCANS / facts["file"], unit=facts["unit"])
    kind = "lower leg" if name.startswith("leg") else "forearm"
    limb, surface = find_limb(scan, kind=kind_named(kind), side=facts["side"])
    origin = np.array(facts["axis"]["origin_file"]) * facts["mm_per_unit"]
    axis = np.array(facts["axis"]["direction_file"])
    found = []
    for row in facts["girths"]:
        girths = girths_in_plane(limb, surface, origin + row["t_mm"] * axis, axis)
        if girths is not None and not row.get("under_cloth"):
            found.append((girths[0] - row["scan_girth_mm"], girths[1] - row["scan_tape_mm"]))
    return np.array(found)


@pytest.mark.parametrize("name", NAMES)
def test_sections_and_tape_are_the_scanned_limbs_at_every_truth_plane(name):
    found = errors(name)
    assert len(found) >= 10
    limit = CLEAN_RMS if name == "leg_a_clean" else MODERATE_RMS
    assert np.sqrt(np.mean(found**2, axis=0)).max() <= limit
    assert np.abs(found).max() <= MODERATE_MAX


WRONG = {"leg_b_phone": 0.95, "leg_a_soup": 1.06, "forearm_b_phone": 0.97}
"""How large a scan is made: about the ± 5 % that Farhan et al. accept. [published: Prosthet. Orthot. Int. 47(6), 2023,
abstract; that is their limit of acceptance, not what phones reach]"""


@cache
def taped(name, wrong):
    """Rows (m,4), mm, at the truth planes: the skin's own tape girth, the scan's error there as its noise alone makes
    it, and the error of what is measured on a scan `wrong` times as large without and with one true tape girth at the
    widest place; and the first two at that place.
    """
    facts = json.loads((SCANS / f"{name}.json").read_text("utf8"))
    scan = scaled(read_scan(SCANS / facts["file"], unit=facts["unit"]), wrong)
    kind = "lower leg" if name.startswith("leg") else "forearm"
    limb, surface = find_limb(scan, kind=kind_named(kind), side=facts["side"])
    axis = np.array(facts["axis"]["direction_file"])
    origin = np.array(facts["axis"]["origin_file"]) * facts["mm_per_unit"]
    widest = next(row for row in facts["girths"] if row["name"] in ("calf_max", "forearm_max"))
    # A tape's height is one on the limb, not on its scan.
    at = float(limb.frame.to_limb((wrong * (origin + widest["t_mm"] * axis))[None])[0, 2]) / wrong
    tape = ({"at": at, "girth": widest["tape_mm"]},)
    settings = ScanSettings(file=facts["file"], limb=kind, side=facts["side"], tape=tape)
    found = find(scan, settings, announce=lambda step: None)
    rows = []
    for row in facts["girths"]:
        place = origin + row["t_mm"] * axis
        one = girths_in_plane(limb, surface, wrong * place, axis)
        other = girths_in_plane(found.limb, found.skin, found.scan.scale * place, axis)
        if one is not None and other is not None and not row.get("under_cloth"):
            skin = row["tape_mm"]
            rows.append((skin, row["scan_tape_mm"] - skin, one[1] - skin, other[1] - skin))
    return np.array(rows), (widest["tape_mm"], widest["scan_tape_mm"] - widest["tape_mm"])


@pytest.mark.parametrize("name", WRONG)
def test_one_true_tape_girth_leaves_the_scans_own_error_and_that_of_the_tapes_place(name):
    rows, (girth, there) = taped(name, WRONG[name])
    assert len(rows) > 10
    skin, own, without, with_one = rows.T
    # The scale is right where the tape lay, and so carries the scan's error away from there, by the ratio of girths.
    assert np.abs(with_one - (own - there / girth * skin)).max() < MODERATE_MAX
    assert np.sqrt(np.mean(with_one**2)) < 0.5 * np.sqrt(np.mean(without**2))


def angle_deg(a, b):
    return np.degrees(np.arctan2(np.linalg.norm(np.cross(a, b)), a @ b))


def judged(seed, folder, *, names=NAMES_OF_LIMBS):
    """ "fit", or the name of the error that a damaged limb gave; what it tells is checked on the way."""
    case = damaged(seed, cloth=False, names=names)
    path = folder / case.name.split()[1]
    path.write_bytes(case.data)
    # Nothing on an upper arm shows its front.
    given = case.front_given or case.kind == "upper arm"
    front = FrontDirection(tuple(case.front)) if given else None
    start = time.process_time()
    try:
        scan = read_scan(path, unit=case.given)
        limb, surface = find_limb(scan, kind=kind_named(case.kind), side=case.side, front=front)
    except CalfskinError as error:
        _excused(case, error)
        return type(error).__name__
    assert time.process_time() - start < 20.0
    _truthful(case, scan, limb)
    _near(case, limb, surface)
    return "fit"


def _excused(case, error):
    """An error is right where nobody said whether cm or inch, or where no foot or hand shows the front."""
    assert "\n" not in str(error)
    if isinstance(error, ScanError):
        assert case.given is None
        assert case.unit in ("cm", "in")
        assert "give the unit" in str(error)
    else:
        assert isinstance(error, FrontError)
        assert not case.extremity
        assert not case.front_given


def _truthful(case, scan, limb):
    assert scan.unit == case.unit
    told = dict(codes(scan.repairs))
    cloud = case.faces == 0
    assert ("no faces" in told) == cloud
    if not cloud:
        assert ("floor" in told) == ("floor" in case.done)
        spiked = "spike" in told or "stray" in told
        assert spiked == ("spike" in case.done)
        assert told.get("duplicate", 0) >= case.done.get("duplicate", 0)
        if "fragments" in case.done:
            assert told["fragments"] >= case.done["fragments"]
    if case.kind == "upper arm":
        return
    doubted = any("captured mirrored" in caution for caution in texts(limb.findings))
    assert doubted == (case.mirrored and case.extremity and not case.front_given)


AXIS_OFF = {"upper arm": 4.0}
"""Degrees that the axis may lie off the invented limb's own. An upper arm's is the line through its section centres
between elbow and armpit, 150 mm, where biceps and triceps carry them 3 mm to the front and back again: 2°, and 2° for
what damage does. Girths are judged in the truth's planes, so that this tilts none of them."""


def _near(case, limb, surface):
    found = []
    for plane in case.planes:
        girths = girths_in_plane(limb, surface, case.origin + plane.height * case.axis, case.axis)
        if girths is not None:
            found.append((girths[0] - plane.section, girths[1] - plane.tape))
    assert len(found) > len(case.planes) / 2
    assert np.sqrt(np.mean(np.square(found), axis=0)).max() <= MODERATE_RMS
    assert np.abs(found).max() <= MODERATE_MAX
    axis = limb.frame.axes[2]
    assert angle_deg(axis, case.axis) <= AXIS_OFF.get(case.kind, 3.0)
    if not case.mirrored:
        front = case.front - (case.front @ axis) * axis
        assert angle_deg(limb.frame.axes[0], front) <= 10.0


AMBIGUOUS = {0, 3, 6, 9}
"""Of the first seeds: nobody said whether their cm may be inches."""


@pytest.mark.parametrize("seed", [*range(8), *(pytest.param(seed, marks=pytest.mark.full) for seed in range(8, 12))])
def test_a_damaged_limb_is_fitted_within_its_error_or_refused_by_name(tmp_path, seed):
    assert judged(seed, tmp_path) == ("AmbiguousUnitError" if seed in AMBIGUOUS else "fit")


@pytest.mark.full
@pytest.mark.parametrize("tens", range(1, 20))
def test_damaged_limbs_are_fitted_within_their_error_or_refused_by_name(tmp_path, tens):
    results = [judged(seed, tmp_path) for seed in range(10 * tens + 2, 10 * tens + 12)]
    assert results.count("fit") >= 5


UPPER_AMBIGUOUS = {0, 2}
"""Of these seeds, likewise: inches that nobody named."""


@pytest.mark.parametrize("seed", [*range(6), *(pytest.param(seed, marks=pytest.mark.full) for seed in range(6, 8))])
def test_a_damaged_thigh_or_upper_arm_is_fitted_within_its_error(tmp_path, seed):
    expected = "AmbiguousUnitError" if seed in UPPER_AMBIGUOUS else "fit"
    assert judged(seed, tmp_path, names=UPPER_NAMES) == expected


@pytest.mark.full
@pytest.mark.parametrize("tens", range(1, 6))
def test_damaged_thighs_and_upper_arms_are_fitted_within_their_error_or_refused_by_name(tmp_path, tens):
    results = [judged(seed, tmp_path, names=UPPER_NAMES) for seed in range(10 * tens, 10 * tens + 10)]
    assert results.count("fit") >= 5
