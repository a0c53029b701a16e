"""Girths against the true skin, without and with one true tape girth: what the scanner's own error costs."""

import json
from pathlib import Path

import numpy as np
import pytest

from flatten.limb.find import find_limb
from flatten.limb.girths.taping import corrected, tape_correction
from flatten.limb.kind import kind_named
from flatten.scan.read import read_scan
from tests.sections import girths_in_plane

SCANS = Path(__file__).parent.parent / "data" / "scans"
NAMES = ("leg_a_clean", "leg_b_phone", "leg_c_floor", "leg_a_soup", "forearm_b_phone", "forearm_c_nodes")

ISO_SMALL_GIRTH = 4.0
"""mm that a scanner may be off on small girths. [published: ISO 20685, as tabled in Anthropometry, Apparel Sizing and
Design, p. 41; it does not say to which a calf belongs: calf and forearm count as small here]"""


def tapes(limb, surface, facts, *, factor=1.0):
    """Measured and true tape girths (m,2) at the truth's planes, and their names; the scan is `factor` times larger."""
    origin = np.array(facts["axis"]["origin_file"]) * facts["mm_per_unit"]
    axis = np.array(facts["axis"]["direction_file"])
    names, found = [], []
    for row in facts["girths"]:
        girths = girths_in_plane(limb, surface, factor * (origin + row["t_mm"] * axis), axis)
        if girths is not None and not row.get("under_cloth"):
            names.append(row["name"])
            found.append((girths[1], row["tape_mm"]))
    return names, np.array(found)


@pytest.mark.parametrize("name", NAMES)
def test_girths_are_the_skins_within_a_scanners_allowance_and_a_tape_meets_its_own(name, record_property):
    facts = json.loads((SCANS / f"{name}.json").read_text("utf8"))
    scan = read_scan(SCANS / facts["file"], unit=facts["unit"])
    kind = "lower leg" if name.startswith("leg") else "forearm"
    limb, surface = find_limb(scan, kind=kind_named(kind), side=facts["side"])
    names, found = tapes(limb, surface, facts)
    at = names.index("calf_max" if kind == "lower leg" else "forearm_max")
    place = np.array(facts["axis"]["origin_file"]) * facts["mm_per_unit"]
    place = place + facts["girths"][[row["name"] for row in facts["girths"]].index(names[at])]["t_mm"] * np.array(
        facts["axis"]["direction_file"]
    )
    height = limb.frame.to_limb(place[None])[:, 2]
    change = tape_correction(height, scanned=found[at : at + 1, 0], taped=found[at : at + 1, 1])
    again = find_limb(corrected(scan, limb, surface, change), kind=kind_named(kind), side=facts["side"])
    _, taped = tapes(*again, facts, factor=change.factor)
    plain, after = (float(np.sqrt(np.mean((each[:, 0] - each[:, 1]) ** 2))) for each in (found, taped))
    record_property("rms against the skin, without and with a tape", (plain, after))
    print(f"\n{name}: {plain:.2f} mm rms against the skin, {after:.2f} with one tape girth")
    assert max(plain, after) < ISO_SMALL_GIRTH
    # One tape is a scale: its own girth is met but for the fit's start from other points.
    assert taped[at, 0] == pytest.approx(taped[at, 1], abs=0.1)
