"""Findings about an edge, a seam or a dart are pinned at the middle of that line, on the leather just inside of it."""

from types import SimpleNamespace

import numpy as np
import pytest

from cli.page.known import SessionState
from cli.page.pins import pins
from cli.page.state import _STOP_QUESTIONS
from cli.page.updates import LimbFound
from flatten.findings import Place, finding
from flatten.job.pieces import dressed
from flatten.job.text import job_from
from flatten.limb.kind import LOWER_LEG
from flatten.report.verdict import verdict_on
from tests.analytic_jobs import design_of, found_on
from tests.limbs import cylinder

JOB = """[scan]
file = "leg.ply"
limb = "lower leg"
side = "left"
[edges]
top = { front = "300 mm", outside = "280 mm", back = "260 mm", inside = "280 mm" }
bottom = "20 mm"
[[seam]]
name = "back"
gap = "30 mm"
[[dart]]
name = "calf"
along = 90
depth = "60 mm"
"""
RADIUS, OFF = 60.0, 0.5
"""mm of the cylinder's skin at least, and by which a place may miss: rounding of what is sent."""


@pytest.fixture(scope="module")
def bench():
    found = found_on(cylinder(), joint=350.0)
    job = job_from(JOB, name="job")
    limb = LimbFound(found.scan, found.limb, found.skin, (), (), b"")
    worn = SimpleNamespace(surface=dressed(design_of(job, found)).surface)
    return SessionState(job=job, limb=limb, worn=worn)


def pinned(bench, *found):
    return pins(bench, verdict_on(found, sure=(), side="left"), questions=_STOP_QUESTIONS)


def unequal(part):
    return finding("seam.unequal", "stop", place=Place(part=part), seam=part, ease=17.0, length=240.0)


def arc(bench, pin, bearing):
    """mm round the limb from a bearing (rad) to the pin on the leather."""
    radius = float(np.hypot(*pin["at"][:2]))
    assert radius >= RADIUS
    return radius * float(np.mod(pin["chart"][1] - bearing + np.pi, 2 * np.pi) - np.pi)


def test_a_seam_is_pinned_half_way_up_and_beside_its_gap(bench):
    (pin,) = pinned(bench, unequal("back"))
    # From 20 mm at the bottom to 260 mm at the back's top.
    assert pin["at"] == pytest.approx([-np.hypot(*pin["at"][:2]), 0.0, 140.0], abs=OFF)
    assert pin["chart"][0] == pytest.approx(140.0, abs=OFF)
    # The leather begins half of the 30 mm from the seam.
    assert arc(bench, pin, np.pi) == pytest.approx(17.0, abs=OFF)
    assert (pin["question"], pin["severity"]) == ("opening", "stop")


def test_a_dart_is_pinned_half_way_to_its_tip(bench):
    (pin,) = pinned(bench, unequal("calf"))
    assert pin["at"][2] == pytest.approx(280.0 - 30.0, abs=OFF)
    assert pin["at"][0] == pytest.approx(0.0, abs=OFF)
    assert pin["at"][1] > RADIUS
    assert arc(bench, pin, 0.5 * np.pi) == pytest.approx(2.0, abs=OFF)


def test_an_edge_on_a_tender_place_is_pinned_there_and_just_inside_on_the_leather(bench):
    hollow = next(place for place in LOWER_LEG.tender if place.name == "knee hollow")
    (pin,) = pinned(bench, finding("wearing.near", "stop", place=Place(part="top edge"), tender="knee hollow"))
    bearing = np.radians(sum(hollow.degrees) / 2)
    assert np.arctan2(pin["at"][1], pin["at"][0]) % (2 * np.pi) == pytest.approx(bearing % (2 * np.pi), abs=0.01)
    assert pin["chart"][0] == pytest.approx(pin["at"][2] - 2.0, abs=0.01)
    assert pin["question"] == "edges"


def test_an_edge_is_pinned_at_its_own_bearing_or_else_farthest_from_the_seam(bench):
    meets = {"motion": "knee", "edge": "bottom", "side": "back", "angle": 0.2, "reach": 2.0}
    at_back = finding("wearing.joint meets", "look", place=Place(part="bottom edge", bearing=np.pi), **meets)
    (front,) = pinned(bench, finding("edge.unseen", "stop", place=Place(part="bottom edge"), edge="bottom edge",
                                     length=30.0, where="at the front", off=4.0, sigma=1.0))  # fmt: skip
    assert front["at"][0] > RADIUS
    assert front["at"][1:] == pytest.approx([0.0, 20.0], abs=OFF)
    assert front["chart"][0] == pytest.approx(22.0, abs=0.01)
    looked = SessionState(job=bench.job, limb=SimpleNamespace(**{**vars(bench.limb), "findings": (at_back,)}),
                          worn=bench.worn)  # fmt: skip
    (back,) = pinned(looked)
    assert back["at"][0] < -RADIUS
    assert back["severity"] == "look"


def test_what_is_about_no_line_that_there_is_has_no_pin(bench):
    assert pinned(bench, unequal("front")) == []
