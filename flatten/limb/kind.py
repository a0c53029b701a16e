"""One record for each kind of limb: all that differs from one kind to another stands here, as figures and keys."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from flatten.errors import CalfskinError
from flatten.findings import Place

SIDES = ("left", "right")
"""The wearer's own."""

QUARTERS = ("front", "outside", "back", "inside")
"""The four quarters of any limb in the order of growing bearing, as job files name them; the first is about 0."""

Quarters = tuple[float, float, float, float]
"""A figure for each quarter, in that order."""


class NoSuchKindError(CalfskinError, ValueError):
    """No kind of limb has that name."""


@dataclass(frozen=True)
class TopEdge:
    """Where a top edge runs when nobody says: so far (mm) below the `joint` landmark, or, where that is None, below the
    end of what the scan shows, at the four quarters."""

    joint: str | None
    below: Quarters


@dataclass(frozen=True)
class JointMotion:
    """A movement of a joint beside the limb: the part beyond it turns towards `bearing` (rad) by up to `degrees`.

    `edge` is the edge beside the joint, "top" or "bottom". The joint's axis lies `offset` mm above the `landmark`, or,
    where that is None, above the end of the surface that can be followed. `far` where the part that turns is the foot
    or the hand, which no trusted surface reaches. Below `enough` degrees the bend is worth a word: a chair, or a hand
    to the face; half of its reach where nothing else is known.
    """

    name: str
    edge: Literal["top", "bottom"]
    landmark: str | None
    offset: float
    bearing: float
    degrees: float
    far: bool = False
    enough: float | None = None


@dataclass(frozen=True)
class TenderPlace:
    """A place that an edge must keep off: where the `edge` runs between `above` mm, two heights from the `landmark`,
    anywhere between two `degrees` of bearing."""

    name: str
    edge: Literal["top", "bottom"]
    landmark: str
    above: tuple[float, float]
    degrees: tuple[float, float]


@dataclass(frozen=True)
class LimbKind:
    """What is known of a kind of limb before any scan; words for it are found by its keys.

    `name` is what job files call it, `piece` the key of what is made for it, `sides` are the keys of its four sides in
    the order of QUARTERS, and `side_words` what else makers call one of them, with its number. `zero` is the landmark
    whose height is 0, `far_end` what lies beyond the limb, "foot" or "hand", `stands` whether height 0 is at the joint
    that it stands on (thigh, upper arm) and not above the far end. `joint` is the joint at its upper end, or, of one
    that `stands`, at its lower end; `joint_mark` the landmark that tells it. `right_handed` is the side of the body on
    which front, lateral and axis are right-handed (see Frame). `front_from` is what shows the front, None where the
    shape does not.

    `tape_places` are the landmarks that a tape can be laid round, the first being height 0; "widest" is one everywhere.
    `scan_error` is what a scan may be out by in girth, `swelling` what standing adds to it (mm). `bottom_edge` (mm
    above height 0) and `top_edge` are the trade's clearances. `motions` bend the joints beside it, `tender` are the
    places that edges keep off, `nerve` whether the common peroneal nerve is near, and `held_by` is the key of what
    holds a piece up on it.
    """

    name: str
    piece: str
    sides: tuple[str, str, str, str]
    zero: str
    far_end: Literal["foot", "hand"]
    stands: bool
    joint: str
    joint_mark: str
    right_handed: str
    front_from: Literal["foot", "hand"] | None
    tape_places: tuple[str, ...]
    scan_error: float
    swelling: float
    bottom_edge: Quarters
    top_edge: TopEdge
    held_by: str
    nerve: bool = False
    motions: tuple[JointMotion, ...] = ()
    tender: tuple[TenderPlace, ...] = ()
    side_words: Mapping[str, int] = field(default_factory=dict)

    @property
    def zero_name(self) -> str:
        """The key of the name of height 0."""
        return f"zero.{self.zero}"

    @property
    def widest_name(self) -> str:
        """The key of the name of the widest girth."""
        return f"widest.{self.name}"

    def side_at(self, bearing: float) -> str:
        """The key of the side that a bearing (rad) lies on: each is a quarter turn, the first about 0."""
        return self.sides[quarter_at(bearing)]

    def side_number(self, word: str) -> int | None:
        """Which of the four sides a maker's word means, None where it is none of this limb's.

        "thumb side", "thumb" and "thumb_side" are one word.
        """
        words = {_plain(side): number for number, side in enumerate(self.sides)}
        words |= {_plain(other): number for other, number in self.side_words.items()}
        return words.get(_plain(word))

    def place(self, *, height: float | None = None, bearing: float | None = None, part: str | None = None) -> Place:
        """A place on a limb of this kind, as findings tell it."""
        side = None if bearing is None else self.side_at(bearing)
        return Place(zero=self.zero_name, height=height, side=side, bearing=bearing, part=part)


def quarter_at(bearing: float) -> int:
    """The number, 0 to 3, of the quarter that a bearing (rad) lies in: each is a quarter turn, the first about 0."""
    return int(np.floor(bearing / (np.pi / 2) + 0.5)) % 4


def _plain(word: str) -> str:
    return " ".join(word.lower().replace("_", " ").replace("-", " ").split()).removesuffix(" side")


KNEE_BEND = 135.0
"""Degrees. From memory."""

ELBOW_BEND = 145.0
"""Degrees. From memory."""

SEATED = 90.0
"""Degrees of knee, hip and elbow that everyday life wants: a chair, a hand to the face."""

SMALL_GIRTH_ERROR, LARGE_GIRTH_ERROR = 4.0, 9.0
"""mm of girth that a scan may be out by. [published: ISO 20685, as tabled in Anthropometry, Apparel Sizing and Design,
p. 41; it does not say to which a calf belongs]"""

LEG_SWELLING = 4.0
"""mm of girth by which a calf swells in ten minutes of standing: 3 to 4. [published: Stick et al., Eur. J. Appl.
Physiol. 59, 1989, abstract; girth derived]; as much for a thigh, from memory."""

ANKLE_JOINT = -55.0
"""mm above the leg's least girth: it lies 35 to 80 mm below, on the bodies at hand."""

WRIST_JOINT = -15.0
"""mm above the forearm's least girth. From memory."""

KNEE_JOINT = -25.0
"""mm above the kneecap's top: about the middle of the kneecap. From memory."""

HIP_JOINT = 60.0
"""mm above the groin, where a thigh can be followed no further: about what the bone at the hip's outer side stands
above the crotch. From memory."""

SHOULDER_JOINT = 40.0
"""mm above the armpit, where an upper arm can be followed no further. From memory."""

LOWER_LEG = LimbKind(
    name="lower leg",
    piece="shin guard",
    sides=QUARTERS,
    side_words={"shin": 0, "calf": 2},
    zero="ankle",
    far_end="foot",
    stands=False,
    joint="knee",
    joint_mark="knee",
    right_handed="left",
    front_from="foot",
    tape_places=("ankle",),
    scan_error=LARGE_GIRTH_ERROR,
    swelling=LEG_SWELLING,
    # Arched at front and back, so that the foot can flex. Common practice.
    bottom_edge=(20.0, 0.0, 20.0, 0.0),
    # Below the kneecap, 20 to 30 mm being usual, and 60 mm lower behind, clear of the knee's hollow. From memory.
    top_edge=TopEdge("knee", (25.0, 55.0, 85.0, 55.0)),
    held_by="held.lower leg",
    nerve=True,
    motions=(
        JointMotion("bending the knee", "top", "knee", 0.0, np.pi, KNEE_BEND, enough=SEATED),
        # Ankle 20° up and 50° down. [published: World J. Orthop. 8(1), 2017, table 5]
        JointMotion("raising the foot", "bottom", "ankle", ANKLE_JOINT, 0.0, 20.0, far=True),
        JointMotion("pointing the foot", "bottom", "ankle", ANKLE_JOINT, np.pi, 50.0, far=True),
    ),
    # The fibula's head and the nerve beside it, on the outside and a little behind it; the hollow behind the knee, 25
    # to 40 mm below its crease. From memory.
    tender=(
        TenderPlace("fibula", "top", "knee", (-50.0, -10.0), (85.0, 130.0)),
        TenderPlace("knee hollow", "top", "knee", (-50.0, np.inf), (150.0, 210.0)),
    ),
)

THIGH = LimbKind(
    name="thigh",
    piece="thigh guard",
    sides=QUARTERS,
    side_words={"kneecap side": 0, "knee hollow side": 2},
    zero="kneecap",
    far_end="foot",
    stands=True,
    joint="knee",
    joint_mark="kneecap",
    right_handed="left",
    front_from="foot",
    tape_places=("kneecap",),
    scan_error=LARGE_GIRTH_ERROR,
    swelling=LEG_SWELLING,
    # Above the kneecap's top. From memory.
    bottom_edge=(40.0, 50.0, 60.0, 50.0),
    top_edge=TopEdge(None, (20.0, 20.0, 20.0, 20.0)),
    held_by="held.thigh",
    nerve=True,
    motions=(
        JointMotion("bending the knee", "bottom", "kneecap", KNEE_JOINT, np.pi, KNEE_BEND, enough=SEATED),
        JointMotion("bending the hip", "top", None, HIP_JOINT, 0.0, 120.0, enough=SEATED),
    ),
    tender=(TenderPlace("knee hollow", "bottom", "kneecap", (-np.inf, 40.0), (150.0, 210.0)),),
)

FOREARM = LimbKind(
    name="forearm",
    piece="forearm guard",
    sides=("back of the hand side", "thumb side", "palm side", "little-finger side"),
    zero="wrist",
    far_end="hand",
    stands=False,
    joint="elbow",
    joint_mark="elbow",
    right_handed="right",
    front_from="hand",
    tape_places=("wrist",),
    scan_error=SMALL_GIRTH_ERROR,
    swelling=0.0,
    # 10 to 20 mm above the least girth leave the wrist free to turn. From memory.
    bottom_edge=(15.0, 15.0, 15.0, 15.0),
    # The palm side meets the upper arm when the elbow bends. From memory.
    top_edge=TopEdge("elbow", (35.0, 40.0, 55.0, 40.0)),
    held_by="held.forearm",
    motions=(
        JointMotion("bending the elbow", "top", "elbow", 0.0, np.pi, ELBOW_BEND, enough=SEATED),
        # Wrist 80° to the palm and 70° back. From memory.
        JointMotion("bending the wrist to the palm", "bottom", "wrist", WRIST_JOINT, np.pi, 80.0, far=True),
        JointMotion("bending the wrist back", "bottom", "wrist", WRIST_JOINT, 0.0, 70.0, far=True),
    ),
    # From memory.
    tender=(TenderPlace("crook of the elbow", "top", "elbow", (-35.0, np.inf), (150.0, 210.0)),),
)

UPPER_ARM = LimbKind(
    name="upper arm",
    piece="upper arm guard",
    sides=QUARTERS,
    side_words={"biceps side": 0, "triceps side": 2},
    zero="elbow",
    far_end="hand",
    stands=True,
    joint="elbow",
    joint_mark="elbow",
    right_handed="left",
    front_from=None,
    tape_places=("elbow",),
    scan_error=SMALL_GIRTH_ERROR,
    swelling=0.0,
    # Above the elbow's crease, most at the biceps. From memory.
    bottom_edge=(50.0, 40.0, 35.0, 40.0),
    top_edge=TopEdge(None, (20.0, 20.0, 20.0, 20.0)),
    held_by="held.upper arm",
    motions=(
        JointMotion("bending the elbow", "bottom", "elbow", 0.0, 0.0, ELBOW_BEND, enough=SEATED),
        # Shoulder 160° forwards and 150° to the side. From memory.
        JointMotion("raising the arm forwards", "top", None, SHOULDER_JOINT, 0.0, 160.0),
        JointMotion("raising the arm to the side", "top", None, SHOULDER_JOINT, np.pi / 2, 150.0),
    ),
)

KINDS: dict[str, LimbKind] = {kind.name: kind for kind in (LOWER_LEG, THIGH, FOREARM, UPPER_ARM)}
"""Every kind of limb by its name; whoever adds one adds it here."""


def kind_named(name: str) -> LimbKind:
    """The kind of limb of that name. Raises NoSuchKindError where there is none."""
    if name not in KINDS:
        raise NoSuchKindError(f"'{name}' is no kind of limb; it must be one of {', '.join(KINDS)}")
    return KINDS[name]
