"""One record for each kind of limb: all that differs from one kind to another stands here, as figures and keys."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias, get_args

import numpy as np

from flatten.errors import CalfskinError
from flatten.findings import Message, Place, message

SIDES = ("left", "right")
"""The wearer's own."""

Quarter = Literal["front", "outside", "back", "inside"]

QUARTERS: tuple[Quarter, Quarter, Quarter, Quarter] = get_args(Quarter)
"""The four quarters of any limb in the order of growing bearing, as job files name them; the first is about 0."""

Quarters = tuple[float, float, float, float]
"""A figure for each quarter, in that order."""


FarEnd = Literal["foot", "hand"]
Joint = Literal["knee", "elbow"]


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
class BodyGirth:
    """A girth of people by tape, mm: at "widest" or a landmark `at`, `usual` for adults with their standard deviation
    `spread`, and from `least` to `most` of anybody, small children among them."""

    at: str
    usual: float
    spread: float
    least: float
    most: float


@dataclass(frozen=True)
class ClothSearch:
    """Where cloth is looked for: from `below` mm beneath the waist up, and single edges from so many mm above it up,
    those above which the limb is `thicker` and those above which it is `thinner`."""

    below: float
    thicker: float
    thinner: float


@dataclass(frozen=True, kw_only=True)
class _LimbKind:
    """What is known of a kind of limb before any scan; words for it are found by its keys.

    `name` is what job files call it, `piece` the key of what is made for it, `sides` are the keys of its four sides in
    the order of QUARTERS, and `side_words` what else makers call one of them, with its number. `zero` is the landmark
    whose height is 0, `widest` the key of the name of its widest girth, and `front_line` that of a line that makers
    know along its front, None where there is none. `far_end` is what lies beyond the limb, and `joint` the joint at its
    upper end, or, of a proximal limb, at its lower end; `joint_mark` is the landmark that tells it. `right_handed` is
    the side of the body on which front, lateral and axis are right-handed (see Frame). `front_from` is what shows the
    front, None where the shape does not. `cloth` is where cloth is looked for on it.

    `tape_places` are the landmarks that a tape can be laid round, the first being height 0; "widest" is one everywhere.
    `bodies` are girths of people there. `scan_error` is what a scan may be out by in girth, `swelling` what standing
    adds to it (mm). `bottom_edge` (mm
    above height 0) and `top_edge` are the trade's clearances. `motions` bend the joints beside it, `tender` are the
    places that edges keep off, `nerve` whether the common peroneal nerve is near, and `held_by` is the key of what
    holds a piece up on it.
    """

    name: str
    piece: str
    sides: tuple[str, str, str, str]
    zero: str
    widest: str
    far_end: FarEnd
    joint: Joint
    joint_mark: str
    right_handed: str
    front_from: FarEnd | None
    cloth: ClothSearch
    tape_places: tuple[str, ...]
    scan_error: float
    swelling: float
    bottom_edge: Quarters
    top_edge: TopEdge
    held_by: str
    bodies: tuple[BodyGirth, ...] = ()
    nerve: bool = False
    motions: tuple[JointMotion, ...] = ()
    tender: tuple[TenderPlace, ...] = ()
    side_words: tuple[tuple[str, int], ...] = ()
    front_line: str | None = None

    def __str__(self) -> str:
        """Its name."""
        return self.name

    @property
    def zero_name(self) -> str:
        """The key of the name of height 0."""
        return f"zero.{self.zero}"

    @property
    def zero_place(self) -> str:
        """The key of what height 0 is exactly."""
        return f"zero place.{self.zero}"

    def side_at(self, bearing: float) -> str:
        """The key of the side that a bearing (rad) lies on: each is a quarter turn, the first about 0."""
        return self.sides[quarter_at(bearing)]

    def side_number(self, word: str) -> int | None:
        """Which of the four sides a maker's word means, None where it is none of this limb's.

        "thumb side", "thumb" and "thumb_side" are one word.
        """
        words = {_plain(side): number for number, side in enumerate(self.sides)}
        words |= {_plain(other): number for other, number in self.side_words}
        return words.get(_plain(word))

    def at(self, height: float, bearing: float) -> Message:
        """Where a point is: "at the front, 31 mm above the ankle"."""
        return message("at place", zero=self.zero_name, side=self.side_at(bearing), height=height)

    def at_height(self, height: float) -> Message:
        """A height: "31 mm above the ankle"."""
        return message("at height", zero=self.zero_name, height=height)

    def place(self, *, height: float | None = None, bearing: float | None = None, part: str | None = None) -> Place:
        """A place on a limb of this kind, as findings tell it."""
        side = None if bearing is None else self.side_at(bearing)
        return Place(zero=self.zero_name, height=height, side=side, bearing=bearing, part=part)


_TRUNK_JOINTS: dict[Joint, str] = {"knee": "hip", "elbow": "shoulder"}
"""The joint at the trunk's end of the limb above a joint."""


@dataclass(frozen=True)
class Bone:
    """A bone that a maker feels below height 0: so many mm over the sole, and a share of the way from height 0 up to
    the joint below it; each sigma in mm."""

    name: str
    over_sole: float
    over_sole_sigma: float
    of_way: float
    of_way_sigma: float


@dataclass(frozen=True, kw_only=True)
class DistalLimb(_LimbKind):
    """A limb that ends at a foot or a hand, found by its waist: its narrowest place, above ankle or wrist.

    Its axis runs from the waist to the joint where it is a line `to_joint`, else along the section centres within some
    radii above the waist. `behind` is, in waist radii, what the middle of its sections lies behind that axis where the
    joint is not shown, and `leans` the degrees by which it may then still lean from the body's; None where nothing is
    known of that. `bone` lies below height 0.
    """

    to_joint: bool
    behind: float | None = None
    leans: float | None = None
    bone: Bone | None = None

    @property
    def ends(self) -> tuple[str, str]:
        """The keys of what lies below the limb and above it."""
        return self.far_end, self.joint


@dataclass(frozen=True, kw_only=True)
class ProximalLimb(_LimbKind):
    """A limb between the trunk and a joint, which is its height 0."""

    @property
    def ends(self) -> tuple[str, str]:
        """The keys of what lies below the limb and above it."""
        return self.joint, _TRUNK_JOINTS[self.joint]


LimbKind: TypeAlias = DistalLimb | ProximalLimb
"""A kind of limb: one of either sort."""


def quarter_at(bearing: float) -> int:
    """The number, 0 to 3, of the quarter that a bearing (rad) lies in: each is a quarter turn, the first about 0."""
    return int(np.floor(bearing / (np.pi / 2) + 0.5)) % 4


def quarter_bearing(quarter: Quarter) -> float:
    """The bearing (rad) of a quarter's middle."""
    return QUARTERS.index(quarter) * np.pi / 2


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
p. 41; it does not say to which a calf belongs: a calf and a forearm count as small here, a thigh as large]"""

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

BELLY_BACK = 0.3
"""Waist radii that the middle of a calf's sections lies behind the line from ankle to knee, from 4 to 9.5 radii up: 0.4
to 0.6 on the bodies of the test scans, 0 to 0.2 on the invented ones. Where a scan ends there, the slabs' axis leans
back by it."""

KNEELESS_LEAN = 6.0
"""Degrees that the axis of a leg whose knee is not shown leans at most from the body's: 2.3 in the rms and 4.5 at most
on 44 legs with their feet (the test scans and the invented legs, cut 140 to 340 mm above the ankle), 5.7 where the leg
begins at the ankle."""

SOCK_EDGE = -24.0
"""mm above a leg's waist from which edges of cloth are told: socks 15 to 60 mm above an ankle have theirs from 21 mm
below the waist up, which they put above themselves, and a heel's own steps begin at 35. Their rows want calm leg below:
so they are compared from 60 mm below it. A hand flares from 12 mm below a wrist on, in 16 mm by up to 5 mm, as an edge
does; its rows begin 30 mm below."""

ARM_THINNER = 16.0
"""mm above a wrist or an elbow from which edges are told above which an arm is thinner: below, and over the four rows
of a step, it grows thinner upwards by itself."""

BELOW_JOINT = 150.0
"""mm below the narrowest place of knee or elbow from which cloth is looked for on the limb above: as far as a thigh's
or an upper arm's surface reaches down the next limb."""

ANKLE_BONE = Bone("ankle bone", over_sole=68.0, over_sole_sigma=11.0, of_way=0.187, of_way_sigma=12.0)
"""The outer one. It stands 72.9 ± 5.7 mm over the sole on men and 62.8 ± 5.1 on women, 67.8 ± 7.4 on both [computed
from ANSUR II: Gordon et al., NATICK/TR-15/007, 2014, public data file], with the foot's tilt and children more. The
share of the way to the kneecap is that of eight posed bodies, ± 0.013; people's is not known, so that its sigma is
doubled."""

LOWER_LEG = DistalLimb(
    name="lower leg",
    piece="shin guard",
    sides=QUARTERS,
    side_words=(("shin", 0), ("calf", 2)),
    front_line="line.shin",
    zero="ankle",
    widest="widest.lower leg",
    far_end="foot",
    joint="knee",
    joint_mark="knee",
    right_handed="left",
    front_from="foot",
    to_joint=True,
    behind=BELLY_BACK,
    leans=KNEELESS_LEAN,
    cloth=ClothSearch(below=60.0, thicker=SOCK_EDGE, thinner=SOCK_EDGE),
    tape_places=("ankle",),
    bone=ANKLE_BONE,
    scan_error=SMALL_GIRTH_ERROR,
    swelling=LEG_SWELLING,
    # Arched at front and back, so that the foot can flex. Common practice.
    bottom_edge=(20.0, 0.0, 20.0, 0.0),
    # Below the kneecap, 20 to 30 mm being usual, and 60 mm lower behind, clear of the knee's hollow. From memory.
    top_edge=TopEdge("knee", (25.0, 55.0, 85.0, 55.0)),
    held_by="held.lower leg",
    # Calf and ankle, men and women as one [computed from ANSUR II: Gordon et al., NATICK/TR-15/007, 2014, public data
    # file], and outside which girths a unit is doubted.
    bodies=(BodyGirth("widest", 383.0, 31.0, 150.0, 600.0), BodyGirth("ankle", 222.5, 16.0, 90.0, 400.0)),
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

THIGH = ProximalLimb(
    name="thigh",
    piece="thigh guard",
    sides=QUARTERS,
    side_words=(("kneecap side", 0), ("knee hollow side", 2)),
    zero="kneecap",
    widest="widest.thigh",
    far_end="foot",
    joint="knee",
    joint_mark="kneecap",
    right_handed="left",
    front_from="foot",
    cloth=ClothSearch(BELOW_JOINT, thicker=-BELOW_JOINT, thinner=-BELOW_JOINT),
    tape_places=("kneecap",),
    scan_error=LARGE_GIRTH_ERROR,
    swelling=LEG_SWELLING,
    # Above the kneecap's top. From memory.
    bottom_edge=(40.0, 50.0, 60.0, 50.0),
    top_edge=TopEdge(None, (20.0, 20.0, 20.0, 20.0)),
    held_by="held.thigh",
    # Thigh and lower thigh by ANSUR II, as for the lower leg; the bounds are from memory.
    bodies=(BodyGirth("widest", 620.5, 57.0, 220.0, 1100.0), BodyGirth("kneecap", 405.0, 34.0, 160.0, 750.0)),
    nerve=True,
    motions=(
        JointMotion("bending the knee", "bottom", "kneecap", KNEE_JOINT, np.pi, KNEE_BEND, enough=SEATED),
        JointMotion("bending the hip", "top", None, HIP_JOINT, 0.0, 120.0, enough=SEATED),
    ),
    tender=(TenderPlace("knee hollow", "bottom", "kneecap", (-np.inf, 40.0), (150.0, 210.0)),),
)

FOREARM = DistalLimb(
    name="forearm",
    piece="forearm guard",
    sides=("back of the hand side", "thumb side", "palm side", "little-finger side"),
    zero="wrist",
    widest="widest.forearm",
    far_end="hand",
    joint="elbow",
    joint_mark="elbow",
    right_handed="right",
    front_from="hand",
    to_joint=False,
    cloth=ClothSearch(below=30.0, thicker=-30.0, thinner=ARM_THINNER),
    tape_places=("wrist",),
    scan_error=SMALL_GIRTH_ERROR,
    swelling=0.0,
    # 10 to 20 mm above the least girth leave the wrist free to turn. From memory.
    bottom_edge=(15.0, 15.0, 15.0, 15.0),
    # The palm side meets the upper arm when the elbow bends. From memory.
    top_edge=TopEdge("elbow", (35.0, 40.0, 55.0, 40.0)),
    held_by="held.forearm",
    # Forearm, flexed, and wrist by ANSUR II, as for the lower leg; the forearm's bounds are from memory.
    bodies=(BodyGirth("widest", 287.0, 31.0, 110.0, 500.0), BodyGirth("wrist", 165.5, 13.5, 90.0, 400.0)),
    motions=(
        JointMotion("bending the elbow", "top", "elbow", 0.0, np.pi, ELBOW_BEND, enough=SEATED),
        # Wrist 80° to the palm and 70° back. From memory.
        JointMotion("bending the wrist to the palm", "bottom", "wrist", WRIST_JOINT, np.pi, 80.0, far=True),
        JointMotion("bending the wrist back", "bottom", "wrist", WRIST_JOINT, 0.0, 70.0, far=True),
    ),
    # From memory.
    tender=(TenderPlace("crook of the elbow", "top", "elbow", (-35.0, np.inf), (150.0, 210.0)),),
)

UPPER_ARM = ProximalLimb(
    name="upper arm",
    piece="upper arm guard",
    sides=QUARTERS,
    side_words=(("biceps side", 0), ("triceps side", 2)),
    zero="elbow",
    widest="widest.upper arm",
    far_end="hand",
    joint="elbow",
    joint_mark="elbow",
    right_handed="left",
    front_from=None,
    cloth=ClothSearch(BELOW_JOINT, thicker=-BELOW_JOINT, thinner=ARM_THINNER),
    tape_places=("elbow",),
    scan_error=SMALL_GIRTH_ERROR,
    swelling=0.0,
    # Above the elbow's crease, most at the biceps. From memory.
    bottom_edge=(50.0, 40.0, 35.0, 40.0),
    top_edge=TopEdge(None, (20.0, 20.0, 20.0, 20.0)),
    held_by="held.upper arm",
    # Biceps, flexed, by ANSUR II, as for the lower leg; the elbow and the bounds are from memory.
    bodies=(BodyGirth("widest", 332.0, 42.0, 110.0, 700.0), BodyGirth("elbow", 270.0, 25.0, 100.0, 500.0)),
    motions=(
        JointMotion("bending the elbow", "bottom", "elbow", 0.0, 0.0, ELBOW_BEND, enough=SEATED),
        # Shoulder 160° forwards and 150° to the side. From memory.
        JointMotion("raising the arm forwards", "top", None, SHOULDER_JOINT, 0.0, 160.0),
        JointMotion("raising the arm to the side", "top", None, SHOULDER_JOINT, np.pi / 2, 150.0),
    ),
)

KINDS: dict[str, LimbKind] = {kind.name: kind for kind in (LOWER_LEG, THIGH, FOREARM, UPPER_ARM)}
"""Every kind of limb by its name; whoever adds one adds it here."""

USUAL = LOWER_LEG
"""What a job is about where nobody says."""


def tape_places() -> tuple[str, ...]:
    """Where a tape can be laid round some kind of limb, by name."""
    return ("widest", *dict.fromkeys(place for kind in KINDS.values() for place in kind.tape_places))


def limb_beside(far_end: FarEnd) -> DistalLimb:
    """The kind of limb that ends at a foot or at a hand; the first of several."""
    return next(kind for kind in KINDS.values() if isinstance(kind, DistalLimb) and kind.far_end == far_end)


def kind_named(name: str) -> LimbKind:
    """The kind of limb of that name. Raises NoSuchKindError where there is none."""
    if name not in KINDS:
        raise NoSuchKindError(f"'{name}' is no kind of limb; it must be one of {', '.join(KINDS)}")
    return KINDS[name]
