"""A job's pattern let go on the limb, and one that forms itself."""

import numpy as np
import pytest

from flatten.leather.limits import PRESETS
from flatten.making import lay
from flatten.report.letting_go import forming_numbers
from flatten.steps import quietly
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, cylinder, limb_of
from tests.plated import job_with

EDGES = {"bottom": "50 mm", "top": "250 mm"}


def laid(skin, *, mesh=9.0, aim="most even", **tables):
    found = found_on(skin)
    job = job_with(leather={"thickness": 3.2, "aim": aim}, **tables)
    return lay(design_of(job, found), limits=PRESETS["cased"], announce=quietly, edge_length=mesh)


@pytest.fixture(scope="module")
def shaped():
    return laid(limb_of(calf), mesh=5.5, aim="forms itself", edges=EDGES)


def test_what_only_bends_forms_by_itself_and_is_left_as_it_is():
    (panel,) = laid(cylinder(), aim="forms itself").panels
    assert panel.forming.way == "itself"
    assert panel.forming.slip < 0.1
    assert panel.forming.held is None
    (even,) = laid(cylinder()).panels
    np.testing.assert_array_equal(panel.flat.uv, even.flat.uv)


def test_the_most_even_pattern_of_a_calf_is_told_to_slip_beyond_its_limits():
    found = laid(limb_of(calf), edges=EDGES)
    (panel,) = found.panels
    assert panel.stretch.fits
    assert panel.forming.way in ("wrap", "force")
    assert not panel.forming.free.fits
    # The bracket: what friction holds lies between what slips freely and where the pattern puts it, a wrap nearer.
    worst = [state.rims.excess for state in (panel.forming.free, panel.forming.held, panel.forming.wrapped)]
    assert worst == sorted(worst, reverse=True)
    assert panel.forming.told.rims.excess < worst[-1]
    told = forming_numbers(panel)
    assert told["free"]["least"] < told["friction"]["least"] < told["wrap"]["least"] < told["told"]["least"]
    assert found.findings == ()


def test_a_pattern_that_forms_itself_rests_where_it_is_told(shaped):
    (panel,) = shaped.panels
    assert panel.stretch.fits
    assert panel.forming.way == "itself"
    assert panel.forming.slip < 0.05
    assert panel.forming.free.largest.stretch == pytest.approx(panel.stretch.largest.stretch, abs=2e-4)
    (told,) = shaped.findings
    assert told.code == "forming.reshaped"
    assert 0.5 < told.figures["moved"] < 30.0


def test_its_halves_stay_mirror_images():
    skin = limb_of(lambda h, b: calf(h, b) + 0.6 * np.sin(b) * np.exp(-(((h - 150) / 80.0) ** 2)))
    found = laid(skin, aim="forms itself", edges=EDGES, piece={"symmetry": "centre line"})
    (panel,) = found.panels
    assert [one.code for one in found.findings] == ["forming.reshaped"]
    flat = panel.flat
    high, low = (flat.uv[one.vertices] for one in flat.panel.boundaries if one.kind == "laced")
    # The sides as the other's mirror image: each point of one lies on the other.
    mirror = low[::-1] * [-1.0, 1.0]
    run = [np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(side, axis=0).T))]) for side in (high, mirror)]
    assert run[0][-1] == pytest.approx(run[1][-1], abs=1e-3)
    for axis in (0, 1):
        np.testing.assert_allclose(np.interp(run[0], run[1], mirror[:, axis]), high[:, axis], atol=0.02)


def test_where_none_is_found_the_most_even_one_is_cut_and_what_holds_it_back_is_told():
    even, sought = (
        laid(limb_of(calf), edges={"bottom": "20 mm", "top": "330 mm"}, aim=aim)
        for aim in ("most even", "forms itself")
    )
    np.testing.assert_array_equal(even.panels[0].flat.uv, sought.panels[0].flat.uv)
    (told,) = sought.findings
    assert told.code == "forming.none found"
    assert told.severity == "look"
    assert told.figures["beyond"] > 0.01
