"""Edges that hang on a joint whose place is not sure: asked for where nobody gave them, and only there."""

from dataclasses import replace

import numpy as np
import pytest

from flatten.job.resolve import resolve
from flatten.job.text import job_from
from flatten.limb.anatomy.joint import Joint
from flatten.limb.joint import unsure_findings
from flatten.limb.kind import LOWER_LEG, THIGH
from flatten.limb.model import Frame, Landmark, Limb
from flatten.worn.defaults import JointError
from tests.limbs import cylinder

SKIN = cylinder(55.0, low=-30.0, high=420.0)
UNSURE = Joint(350.0, 31.0, ())


def limb_of(kind, height, joint=UNSURE):
    marks = (Landmark(kind.zero, 0.0), Landmark("widest", 240.0), Landmark(kind.joint_mark, height, joint.sigma))
    limb = Limb(kind, "left", Frame(np.zeros(3), np.eye(3)), marks, "given")
    return replace(limb, findings=unsure_findings(kind, joint, height=height, point="[1, 2, 3]"))


def edges(kind, height, text, joint=UNSURE):
    limb = "" if kind is LOWER_LEG else 'limb = "thigh"\n'
    job = job_from(f'[scan]\nfile = "scan.ply"\n{limb}[edges]\n{text}', name="test.toml")
    return resolve(job, limb_of(kind, height, joint), skin=SKIN).cuts.edges


@pytest.mark.parametrize("text", ["", 'top = { front = "300 mm" }', 'bottom = "20 mm"'])
def test_a_top_edge_that_is_measured_from_a_joint_in_doubt_is_asked_for(text):
    with pytest.raises(JointError, match=r'the top edge goes by the knee.*joint = "350 mm".*on the page.*own heights'):
        edges(LOWER_LEG, 350.0, text)


def test_an_edge_of_its_own_height_hangs_on_no_joint():
    _, top = edges(LOWER_LEG, 350.0, 'top = "300 mm"')
    assert top.height(np.zeros(1))[0] == pytest.approx(300.0)
    _, top = edges(LOWER_LEG, 350.0, "", joint=Joint(350.0, 12.0, ()))
    assert top.height(np.zeros(1))[0] == pytest.approx(325.0)


def test_a_thighs_bottom_edge_hangs_on_its_height_0():
    with pytest.raises(JointError, match=r"the bottom edge goes by the knee.*joint = \{ point = \[1, 2, 3\] \}"):
        edges(THIGH, 0.0, "")
    bottom, _ = edges(THIGH, 0.0, 'bottom = "40 mm"')
    assert bottom.height(np.zeros(1))[0] == pytest.approx(40.0)
