"""Zones that are not to be tooled, from a limb to the piece, the report's numbers and what is told."""

import numpy as np
import pytest
import shapely

from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.leather.tooling import tooled_limits
from flatten.making import finish, lay
from flatten.pattern.outline import shape_of
from flatten.pattern.path import area
from flatten.report.limbs import job_findings
from flatten.report.numbers import report_numbers
from flatten.report.page import page_html
from flatten.report.tooling import zone_shape
from flatten.words.say import text
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, limb_of


def made(*, top="300 mm", **piece):
    table = {"scan": {"file": "made-up.ply", "side": "left"}, "edges": {"bottom": "20 mm", "top": top}}
    job = job_of(table | {"piece": piece}, name="the test")
    found = found_on(limb_of(calf), side="left")
    laid = lay(design_of(job, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=8.0)
    return laid, finish(job, [(found, laid)], text="", announce=lambda step: None)


@pytest.fixture(scope="module")
def marked():
    return made()


def test_zones_lie_where_patches_ask_for_more_than_tooling_takes(marked):
    laid, result = marked
    (piece,), (panel,) = result.report.limbs[0].pieces, laid.panels
    assert piece.untooled
    limits = tooled_limits(panel.stretch.limits.in_force)
    flat, patch = panel.flat, panel.stretch.patch
    sign = -1.0 if found_mirrored(result) else 1.0
    centres = flat.uv[flat.panel.mesh.faces].mean(axis=1) * [sign, 1.0]
    zones = shapely.union_all([zone_shape(zone) for zone in piece.untooled])
    over = (patch.greatest > 1 + limits.stretch_along) | (patch.least < 1 - limits.squeeze_along)
    inside = shapely.contains_xy(zones, *centres.T)
    edge = shapely.distance(zones.boundary, shapely.points(centres))
    rim = shapely.distance(shape_of(piece.outline).exterior, shapely.points(centres))
    # Rounding by 6 mm and half a face of 8 mm beside a rim; what is smaller than a zone is left out.
    assert (over[inside & (edge > 12.0)]).mean() > 0.95
    far = ~inside & (edge > 12.0) & (rim > 12.0)
    assert over[far].mean() < 0.02
    # This demanding piece bears its calm places in their stead: what is left between them, rounded.
    assert sum(zone.area for zone in piece.untooled) > 0.5 * area(piece.outline)
    calm = shapely.union_all([zone_shape(zone) for zone in piece.tooled])
    assert shapely.intersection(calm, zones).area < 0.02 * calm.area
    assert {"tooling"} == {mark.kind for mark in piece.marks} & {"tooling", "no tooling"}


def found_mirrored(result):
    return result.report.limbs[0].limb.frame.mirrored


def test_their_share_and_places_are_told_and_written(marked):
    _, result = marked
    (piece,) = result.report.limbs[0].pieces
    (told,) = [one for one in job_findings(result.report) if one.code == "leather.no tooling"]
    share = sum(zone.area for zone in piece.untooled) / area(piece.outline)
    assert told.figures["share"] == pytest.approx(share)
    assert 0.01 < share < 0.9
    assert 1 <= len(told.figures["where"]) <= 3
    calm = sum(zone.area for zone in piece.tooled) / area(piece.outline)
    assert f"{100 * calm:.1f} %" in text(told).replace("\u00a0", " ")
    numbers = report_numbers(result.report)["pieces"][0]["no_tooling"]
    assert [zone["area"] for zone in numbers] == [zone.area for zone in piece.untooled]
    ring = np.array(numbers[0]["outline"])
    assert shapely.Polygon(ring).area == pytest.approx(abs(area(piece.untooled[0].rims[0])), rel=0.01)
    # The first picture is about stretch; where not to tool is drawn on the pieces.
    before, _, after = page_html(result.report).partition('id="pieces"')
    assert 'class="untooled"' not in before
    assert after.count('class="untooled"') == len(piece.untooled)


def test_without_tooling_nothing_is_marked():
    _, result = made(tooling=False)
    (piece,) = result.report.limbs[0].pieces
    assert not piece.untooled
    assert not [one for one in job_findings(result.report) if one.code == "leather.no tooling"]
    assert 'class="untooled"' not in page_html(result.report)


def test_on_a_piece_that_asks_for_less_the_zones_themselves_are_drawn():
    _, result = made(top="230 mm")
    (piece,) = result.report.limbs[0].pieces
    share = sum(zone.area for zone in piece.untooled) / area(piece.outline)
    assert 0.0 < share < 0.5
    assert piece.tooled == ()
    assert {"no tooling"} == {mark.kind for mark in piece.marks} & {"tooling", "no tooling"}
    (told,) = [one for one in job_findings(result.report) if one.code == "leather.no tooling"]
    assert "Do not carve or stamp" in text(told)
