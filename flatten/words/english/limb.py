"""What a scan shows of a limb, and what is not sure about it, in English."""

from __future__ import annotations

from math import degrees

from flatten.units import share_text
from flatten.words.english.amounts import capital
from flatten.words.english.places import named
from flatten.words.language import Sentence

_FAR_ENDS = {
    "foot": "what reaches further aside than down below its narrowest place, as a foot does and a stretched hand does "
    "not",
    "hand": "a hand with its thumb",
}

_SIDE_SIGNS = {"foot": "The big toe’s side of the foot lies outside", "hand": "By its thumb and its palm"}


def shows_other(end: str, kinds: tuple[str, ...]) -> str:
    """What is seen where another limb was named, and the limbs that have it."""
    *names, last = (f"'{kind}'" for kind in kinds)
    which = f"{', '.join(names)} or {last}" if names else last
    return f"the scan shows {_FAR_ENDS[end]}; name the limb {which} where it is one"


def shows_too_low(end: str, seen: str, joint: str, beside: str, kind: str) -> str:
    """A foot or hand where a joint should be, and the limb that ends there."""
    return (
        f"the scan shows a {named(end)} right below the limb's narrowest place, which is its {named(seen)} and not the "
        f"{named(joint)}; name the limb '{beside}', or scan more of the {named(kind)}"
    )


def kind_against(limb: str, shown: str) -> str:
    """That another limb than the one that was named is shown."""
    return f"The limb was named '{limb}', and {shown}."


def kind_told(kind: str, end: str, others: tuple[str, ...]) -> str:
    """A limb that nobody named, told by its foot or hand."""
    other = f"; where you mean the {' or the '.join(named(other) for other in others)}, name it" if others else ""
    return f"Nobody named the limb: by its {named(end)} it was taken for {named(f'a.{kind}')}{other}."


def kind_assumed(kind: str) -> str:
    """A limb that nobody named and that nothing tells."""
    return (
        f"Nobody named the limb, and the scan shows neither foot nor hand: {named(f'a.{kind}')} was assumed. Name it "
        "before you cut."
    )


_SIDES_BY = {"foot": "by the big toe’s side of its foot", "hand": "by the thumb and the palm of its hand"}


def side_told(side: str, seen: str) -> str:
    """A side that nobody named, told by foot or hand."""
    return (
        f"Nobody named the side: {_SIDES_BY[seen]} it is a {named(side)} limb, unless the scan was captured mirrored. "
        "Check it, and name it."
    )


def side_assumed(side: str) -> str:
    """A side that nobody named and that nothing tells."""
    return f"Nobody named the side, and the scan does not show it: {named(side)} was assumed. Name it before you cut."


def side_by_pair(side: str, other: str) -> str:
    """A side that nobody named, told by the other limb's scan."""
    return (
        f"Nobody named the sides: the other scan shows a {named(other)} limb, so that this one is the {named(side)} "
        "one. Check it, and name it."
    )


def side_against(seen: str, side: str, other: str) -> str:
    """A foot or hand that looks like the other side's."""
    side, other = named(side), named(other)
    return (
        f"{_SIDE_SIGNS[seen]}: the scan looks like a {other} limb, {side} was named; it may have been captured "
        f"mirrored. If the side was only named wrongly, say {other}. If the app mirrors its scans, name the {other} "
        f"side all the same and cut the pair mirrored: its {side} pieces are those that fit."
    )


def front_elsewhere(turn: float, seen: str) -> str:
    """A given front that lies `turn` rad away from where a foot or hand puts it."""
    place = "where the toes point" if seen == "foot" else "there"
    return (
        f"The front that was given lies {degrees(turn):.0f}° round the limb from where it is by the {named(seen)}. "
        f'Check the direction or the point; leave it out, as front = "auto", where the front is {place}.'
    )


def cuff(low: str, high: str, step: float) -> str:
    """A ring of cloth between two heights that stands out by `step` mm."""
    return (
        f"From {low} to {high} the outline stands out by about {step:.0f} mm all "
        "round, like a cuff or a rolled sock: it was left out, and the limb is bridged there. Check a girth by tape "
        "near it."
    )


def cloth_like(thicker: bool) -> str:
    """What cloth has a single edge above which the limb is thicker, or thinner."""
    return "a sleeve or a trouser leg" if thicker else "a sock or a glove"


def cloth_edge(where: str, step: float, hidden: str | None) -> str:
    """The single edge of cloth, by whose `step` mm the limb is thicker above it.

    `hidden` is the key of what heights count from where the cloth hides that.
    """
    side = "above" if step > 0 else "below"
    beneath = f" {capital(named(hidden))}, from which heights are told, may lie beneath it." if hidden else ""
    return (
        f"The outline steps by about {abs(step):.0f} mm all round {where}, like the edge of "
        f"{cloth_like(step > 0)}: the girths {side} it may be those of cloth. Scan the limb bare, or check a girth by "
        f"tape {side} it.{beneath}"
    )


def double_layer(low: str, high: str, side: str, apart: float, girth: float) -> str:
    """Two layers `apart` mm, and how far off (mm) a girth there may be."""
    return (
        f"From {low} to {high}, most of it at the {named(side)}, the scan lies in "
        f"two layers about {apart:.1f} mm apart, as when the limb moved between two turns of the phone: girths there "
        f"may be up to {girth:.0f} mm off. Scan once more and keep still, or check a girth there by tape."
    )


def facets(girth: float) -> str:
    """What large flat faces leave open of a girth, mm."""
    return (
        "The scan’s triangles are large and flat where the skin is round: the true girths may be up to "
        f"{girth:.1f} mm greater than those told here. Save the scan with more triangles, or check a girth by tape."
    )


def joint_unsure(
    kind: str, landmark: str, zero: str, above: float, sigma: float, apart: float, line: str | None
) -> str:
    """A joint that has to be asked for: on a lower leg or forearm `above` mm over height 0; elsewhere it is height 0,
    and `line` what the job file says where that is now. `apart` mm are signs that disagree."""
    joint = named(f"joint.{kind}")
    doubt = f"to about ± {sigma:.0f} mm"
    if apart:
        doubt += f", and some signs put it {apart:.0f} mm from there"
    if line is None:
        return (
            f"The scan leaves open where {joint} is: it is taken {above:.0f} mm above the {named(zero)}, {doubt}. "
            f"Measure from {named(f'zero.{zero}')} up to it by tape and write under [scan] what it is, as "
            f'joint = "{above:.0f} mm"; or click it on the page. The top edge then keeps its distance from there.'
        )
    return (
        f"The scan leaves open where {joint} is, from which all heights on the {named(kind)} are told: it is known "
        f"{doubt}. Click it on the page, or write a point of the scan on it under [scan], as "
        f"{line}, which is on the axis where it is taken to be."
    )


def joint_not_shown(joint: str, far_end: str, lean: float) -> str:
    """A joint that is not shown, so that the axis may lean by `lean` rad."""
    return (
        f"Mind that the scan does not show the {named(joint)}: the {named(f'limb.{far_end}')}’s axis may lean by "
        f"{degrees(lean):.0f}°, so that a level edge is askew by some millimetres. Scan up past the {named(joint)}."
    )


def ends_at_widest(kind: str) -> str:
    """A scan that ends where its limb is widest."""
    return (
        f"Mind that the scan ends where its {named(kind)} is widest: the true widest may lie above it and be wider. "
        "Scan further up, or give a tape girth’s height in place of “widest”."
    )


def unseen(share: float, bare: bool, where: str, off: float) -> str:
    """So much of the limb is bridged that its pattern hangs on it, most at one place, where it may be `off` mm."""
    return (
        f"The scan shows {'nothing' if bare else 'no skin'} on {share_text(share)} of the limb, most of it "
        f"{where}. The leather there would be cut by what the limb is likely to be, which may "
        f"be {max(1.0, off):.0f} mm off and more: scan it again, all round, or try the paper on with care."
    )


def unseen_edge(edge: str, length: float, where: str, off: float, sigma: float) -> str:
    """An edge over a place that the scan does not show, where the limb may be `off` mm from the bridge over it."""
    return (
        f"Over {length:.0f} mm the {named(edge)} runs where the scan shows nothing, most {where}: the limb is bridged "
        f"there and may be off by about {sigma:.1f} mm, in 1 of 20 such places by more than {off:.1f} mm. Scan that "
        "place again, or move the edge to where the limb is seen."
    )


def seen(end: str | None, side: str | None) -> str:
    """One of several limbs of a scan by what it ends in, and by the person's side, which who faces them sees across."""
    if end is None:
        return "a part without foot or hand"
    limb = {"foot": "leg", "hand": "arm"}[end]
    if side is None:
        return f"the {limb}"
    return f"the person's {side} {limb}, seen on the {'right' if side == 'left' else 'left'}"


SENTENCES: dict[str, Sentence] = {
    "limb.seen": seen,
    "limb.shows other": shows_other,
    "limb.shows too low": shows_too_low,
    "limb.kind against": kind_against,
    "limb.kind told": kind_told,
    "limb.kind assumed": kind_assumed,
    "limb.side against": side_against,
    "limb.side told": side_told,
    "limb.side by pair": side_by_pair,
    "limb.side assumed": side_assumed,
    "limb.front elsewhere": front_elsewhere,
    "limb.cuff": cuff,
    "limb.cloth like": cloth_like,
    "limb.cloth edge": cloth_edge,
    "limb.double layer": double_layer,
    "limb.facets": facets,
    "limb.joint unsure": joint_unsure,
    "limb.joint not shown": joint_not_shown,
    "limb.ends at widest": ends_at_widest,
    "limb.unseen": unseen,
    "edge.unseen": unseen_edge,
}
