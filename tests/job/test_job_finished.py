"""The maker's own correction, from the job file to the girths that are drawn and foretold."""

import json

import numpy as np
import pytest

from flatten.job.errors import JobError
from flatten.job.text import job_from, job_of, job_text
from flatten.limb.girths.girth import section_girth
from flatten.report.cutting import piece_size
from flatten.worn.neutral import neutral_surface
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, cylinder, limb_of
from tests.test_fittings import EASE, GAP, UNDER, T, job, made

INSIDE = 2 * np.pi * (60.0 + UNDER) + EASE
"""mm of the cylinder's inside."""


def surface(skin, share, **tables):
    design = design_of(job(wear={"finished": share}, **tables), found_on(skin))
    return neutral_surface(design.skin, design.wear, heights=design.heights).surface


@pytest.mark.parametrize("share", [-0.012, 0.02])
def test_the_leather_is_drawn_longer_by_that_share_of_its_own_length(share):
    """The lacing gap is no leather, and stays."""
    more = section_girth(surface(cylinder(), share), 150.0) - section_girth(surface(cylinder(), 0.0), 150.0)
    assert more == pytest.approx(share * (INSIDE - GAP), abs=1e-3)


def test_on_a_calf_each_height_is_corrected_by_its_own_girth():
    """Between the places where it is reckoned to a tenth of a mm: less than a tape tells."""
    plain, own = (surface(limb_of(calf), share, edges={}) for share in (0.0, "-2 %"))
    for height in np.arange(30.0, 320.0, 10.0):
        inside = section_girth(plain, height) - np.pi * T
        less = section_girth(own, height) - section_girth(plain, height)
        assert less == pytest.approx(-0.02 * (inside - GAP), abs=0.1), height


def test_the_report_tells_what_is_drawn_and_what_is_foretold():
    result = made(cylinder(60.0), wear={"finished": "-1.2 %"})
    numbers = json.loads(dict(result.files)["report.json"])["limbs"][0]["finished"]
    ring = next(each for each in numbers["rings"] if each["name"] == "middle")
    assert (numbers["correction"], numbers["gaps"], numbers["sides"]) == (-0.012, GAP, ["left"])
    assert ring["foretold"] == pytest.approx(INSIDE, abs=2e-3)
    assert ring["drawn"] == pytest.approx(INSIDE - 0.012 * (INSIDE - GAP), abs=2e-3)
    assert ring["foretold_outside"] == pytest.approx(INSIDE + 2 * np.pi * T, abs=2e-3)
    assert "drawn 1.2 % shorter round the limb" in dict(result.files)["report.html"].decode()


def test_what_it_fits_is_what_comes_out():
    """The girths that laces close on are the wearer's: what is drawn shorter comes out longer."""
    one, other = (made(cylinder(), wear={"finished": share}) for share in (0.0, -0.02))
    assert one.report.panels[0].fits_girth == pytest.approx(other.report.panels[0].fits_girth)


def test_a_mock_up_is_not_corrected():
    """Paper comes out as it is drawn."""
    widths = []
    for share in (0.0, -0.02):
        result = made(cylinder(), wear={"finished": share}, mockup={"material": "paper"})
        limb = result.report.limbs[0]
        points = [limb.mockup.pieces[0], limb.pieces[0]]
        widths.append([piece_size(piece)[0] for piece in points])
    assert widths[0][0] == pytest.approx(widths[1][0], abs=0.01)
    assert widths[1][1] - widths[0][1] == pytest.approx(-0.02 * (INSIDE - GAP), abs=0.1)


@pytest.mark.parametrize("share", ["-1.2 %", "0.7%", "+2 %", "\N{MINUS SIGN}1.5 %", 0.01])
def test_the_job_file_holds_it(share):
    found = job_of({"scan": {"file": "a.ply"}, "wear": {"finished": share}}, name="the test")
    assert job_from(job_text(found), name="the test") == found
    assert abs(found.wear.finished) <= 0.02


@pytest.mark.parametrize("share", ["-4 mm", "much", "-8 %", "-1,2 %", True, None])
def test_what_is_no_share_is_told(share):
    with pytest.raises(JobError, match=r"\[wear\] finished: .*(such as '-1.2 %'|outside -5 % to 5 %)"):
        job_of({"scan": {"file": "a.ply"}, "wear": {"finished": share}}, name="the test")
