"""The least spread of real panels: every test scan with known truth and every demo scan, on 8 mm meshes."""

import json
from pathlib import Path

import pytest

from flatten.job.text import job_of
from flatten.leather.limits import leather_limits
from flatten.making import lay
from flatten.measuring import measure
from flatten.tolerances import EDGE_PREVIEW
from flatten.unwrap.certificate.least import least_spread
from tests.analytic_jobs import design_of

ROOT = Path(__file__).parents[2]
SCANS = ROOT / "tests" / "data" / "scans"
DEMO = ROOT / "meshes"
LIMBS = {
    **{path.stem: path for path in sorted(SCANS.glob("*.json"))},
    **{path.stem: path for path in sorted(DEMO.glob("harbour_watch_*.json"))},
}


def flat_panel(truth_file):
    """The limb's one panel with the job's defaults, laid flat inside the cased limits."""
    truth = json.loads(truth_file.read_text())
    limb = truth.get("limb") or {"leg": "lower leg", "forearm": "forearm"}[truth["part"]]
    file = truth["file"]
    scan = {"file": file, "unit": truth.get("unit", "auto"), "limb": limb, "side": truth["side"]}
    job = job_of({"scan": scan}, name="the test")
    found = measure(job.scan, folder=truth_file.parent, announce=lambda step: None)
    limits = leather_limits("cased", folder=truth_file.parent)
    laid = lay(design_of(job, found), limits=limits, announce=lambda step: None, edge_length=EDGE_PREVIEW)
    (panel,) = laid.panels
    return panel.flat


@pytest.mark.full
@pytest.mark.parametrize("name", LIMBS)
def test_a_real_panel_s_least_spread_is_most_of_what_is_reached_and_never_more(name):
    flat = flat_panel(LIMBS[name])
    found = least_spread(flat.panel.mesh, guide=flat.uv)
    assert 0.0 < found.disc < found.least_spread <= flat.spread_reachable <= flat.spread
    assert found.least_spread >= 0.58 * flat.spread_reachable
