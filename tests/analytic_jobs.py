"""Jobs on limbs with a formula, without a scan file: what `measure` would have found, made up."""

import numpy as np

from flatten.job.resolve import resolve
from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import Frame, Landmark, Limb
from flatten.measuring import Found
from flatten.scan.model import Scan


def found_on(skin, *, kind=LOWER_LEG, side="left", widest=240.0, joint=350.0):
    """The finding of a limb whose skin is the surface `skin`, in limb coordinates as they are."""
    names = (kind.zero, kind.joint_mark)
    marks = (Landmark(names[0], 0.0), Landmark("widest", widest), Landmark(names[1], joint))
    axes = np.diag([1.0, 1.0 if side == kind.right_handed else -1.0, 1.0])
    points = skin.points(np.linspace(*skin.trusted, 40), np.linspace(0.0, 40.0, 40))
    scan = Scan("made-up.ply", points, np.zeros((40, 3)), np.zeros((0, 3), int), "mm", "given", 1.0, 0, ())
    return Found(scan, Limb(kind, side, Frame(np.zeros(3), axes), marks, "given"), skin, ())


def design_of(job, found):
    """What a job asks for on a limb that was found."""
    return resolve(job, found.limb, skin=found.skin)
