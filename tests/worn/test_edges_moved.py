"""Edges moved by a millimetre at a time: where one place fails and both its neighbours do not, a mesh is to blame."""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from flatten.errors import CalfskinError
from flatten.job.pieces import dressed, panels_of
from flatten.job.resolve import resolve
from flatten.job.text import job_of
from flatten.measuring import find, read
from flatten.steps import quietly

DATA = Path(__file__).parent.parent / "data" / "scans"
NAMES = ("leg_a_clean.ply", "leg_a_soup.stl", "leg_b_phone.obj", "leg_c_floor.glb", "forearm_b_phone.ply",
         "forearm_c_nodes.glb")  # fmt: skip

RUN = 6
"""Neighbouring millimetres that are tried at each place of an edge."""


def fails(table, found, edge, height):
    """The error that a level edge at this height ends in before anything is laid flat; "" without one."""
    job = job_of({**table, "edges": {edge: {"shape": "straight", "height": f"{height:.0f} mm"}}}, name="moved")
    try:
        design = resolve(job, found.limb, skin=found.skin)
        panels_of(design, dressed(design).surface, edge_length=8.0)
    except CalfskinError as error:
        return str(error)
    return ""


def alone(ends):
    """The places in a run that differ from both their neighbours in whether they fail, with what they ended in."""
    bad = [bool(end) for end in ends]
    return [(k, ends[k]) for k in range(1, len(bad) - 1) if bad[k - 1] == bad[k + 1] != bad[k]]


def test_a_failure_that_no_neighbour_shares_is_seen():
    assert alone(["", "folds", "", ""]) == [(1, "folds")]
    assert alone(["short", "short", "short", "", ""]) == []
    assert alone(["short", "", "short"]) == [(1, "")]


@pytest.mark.full
@pytest.mark.parametrize("noise", [0.0, 1.1])
@pytest.mark.parametrize("name", NAMES)
def test_an_edge_moved_by_a_millimetre_fails_only_where_its_neighbours_do(name, noise):
    facts = json.loads((DATA / name).with_suffix(".json").read_text("utf8"))
    limb = "forearm" if name.startswith("forearm") else "lower leg"
    table = {"scan": {"file": name, "limb": limb, "side": facts["side"]}}
    settings = job_of(table, name="moved").scan
    scan = read(settings, path=DATA / name, announce=quietly)
    rough = np.random.default_rng(7).normal(0.0, noise, (len(scan.points), 1)) * scan.normals
    found = find(replace(scan, points=scan.points + rough), settings, announce=quietly)
    joint = found.limb.landmarks[2].height
    for edge, starts in (("top", joint * np.array([0.6, 0.75, 0.85, 0.92, 0.98])), ("bottom", [-8, 5, 25, 45, 70])):
        for start in starts:
            ends = [fails(table, found, edge, round(start) + step) for step in range(RUN)]
            assert alone(ends) == [], f"{edge} at {start:.0f} mm"
