"""Casing, forming, drying and hardening in English, as the order of work tells them at the bench."""

from __future__ import annotations

from flatten.words.english.amounts import capital, listed, mm, percent
from flatten.words.english.places import at_height, beneath, named
from flatten.words.language import Sentence, fixed


def weigh(mass: float) -> str:
    """What the dry pieces weigh."""
    return f"Weigh the pieces first, about {mass:.0f} g in all, and write it down: so you will know when they are dry."


def soak(thickness: tuple[float, ...], least: tuple[float, ...], most: tuple[float, ...]) -> str:
    """How long leathers of some thicknesses lie in water, each from `least` to `most` minutes."""
    each = tuple(
        f"{low:.0f} to {high:.0f} minutes at {own:.1f} mm"
        for own, low, high in zip(thickness, least, most, strict=False)
    )
    return (
        f"Lay them in cold water until no more bubbles rise. By common practice that takes {listed(each)}; leathers "
        "differ, so go by the bubbles and not by the clock."
    )


def form(wet: bool, least: float, most: float, own: bool) -> str:
    """Over what the pieces are formed."""
    layer = mm(least) if least == most else f"{least:.0f} to {mm(most)}"
    worn = f", with {layer} of padding and clothing on it" if most else ""
    former = (
        "the job’s own former, whose face is the leather’s inside" if own else f"a former of the limb’s own shape{worn}"
    )
    return (
        f"Form {'the cased leather' if wet else 'the leather dry'}, grain side out, over {former}. Bend it round "
        "first. Then work the places below in turn, each from its middle outwards: stroke out what grows, press "
        "together what is squeezed and let no fold stand. Go round again until it lies by itself."
    )


def form_over(piece: str, on: str) -> str:
    """Over what a plate is formed."""
    return f"“{piece}” is formed over {beneath(on)} when that is dry and still on the former, with thin film between."


def form_lames(name: str) -> str:
    """Over what lames are formed."""
    return f"The lames of “{name}” are formed as they will lie: from the base on, each over the one before it."


def bend(piece: str | None, where: str, radius: float) -> str:
    """Where a piece bends most."""
    lead = "It" if piece is None else f"“{piece}”"
    return f"{lead} bends most {where}, to an inside radius of {mm(radius)}."


def at(zero: str, side: str, beside: str | None, height: float) -> str:
    """A place on the limb: "at the front towards the outside, 31 mm above the ankle"."""
    towards = "" if beside is None else f" towards the {named(beside)}"
    return f"at the {named(side)}{towards}, {at_height(zero, height)}"


_WAYS = {"up": "up and down the limb", "round": "round the limb", "slanting": "aslant"}


def gives(number: int, where: str, grows: float, length: float, way: str, most: float) -> str:
    """A place where the leather grows or is squeezed: how far (mm) over which length, which way, and at most."""
    does, share = ("grows", most) if grows >= 0.0 else ("is squeezed", -most)
    return (
        f"{number}. {capital(where)}: it {does} by {abs(grows):.1f} mm over {mm(length)} {_WAYS[way]}, in its middle "
        f"by up to {percent(share)}."
    )


def lip(edge: str, flare: float, depth: float, worn: float, flat: float) -> str:
    """How an edge is turned out."""
    grows = f"grows from {mm(flat)} to {mm(worn)}" if worn >= flat else f"is squeezed from {mm(flat)} to {mm(worn)}"
    return f"Turn the {named(edge)} out last, by {flare:g} mm over {depth:g} mm of height: its rim {grows}."


def springs_back(least: float, most: float) -> str:
    """What of the stretch springs back."""
    share = percent(least) if percent(least) == percent(most) else f"{percent(least)} to {percent(most)}"
    return f"Of your strips’ stretch {share} sprang back: take each place that much further than it has to go."


def tie(where: str) -> str:
    """A place that is tied down."""
    return f"{capital(where)}."


def dry(thickness: float, least: float, most: float, mass: float) -> str:
    """How long the pieces dry, and how that is seen."""
    return (
        f"Leave it on the former, away from heaters and sun. By common practice {thickness:.1f} mm take {least:.0f} to "
        f"{most:.0f} hours; it is dry when all weighs what it did before, about {mass:.0f} g."
    )


def shrinks(along: float, across: float, hardened: bool) -> str:
    """What the pieces shrink by; `hardened` where they are drawn larger for hardening too."""
    size = "it comes to its size only when it is hardened" if hardened else "comes to its size"
    return f"By your strips it shrinks by {percent(along)} along the grain and {percent(across)} across it, and {size}."


def harden(least: float, most: float) -> str:
    """What to know before hardening."""
    return (
        f"Heat shrinks leather: water of 76 to 82 °C took {percent(least)} to {percent(most)} of its length off, and "
        "the pieces are not drawn larger for that. So harden a strip of 100 mm from the same hide first, measure it, "
        "and harden the pieces only in a way that leaves its length."
    )


def harden_to_size(along: float, across: float) -> str:
    """How leather is hardened that was cut larger for it."""
    return (
        f"It has to lose {percent(along)} along the grain and {percent(across)} across it, no more and no less: do as "
        "you did with the scrap, and measure. Formed and dried, the pieces lie on the former too large by that, and "
        "come to their size in the heat. Harden them last: what is hardened before its last forming comes out too "
        "small where it then has to stretch, for it hardly gives any more (from memory)."
    )


SENTENCES: dict[str, Sentence] = {
    "order.weigh": weigh,
    "order.soak": soak,
    "order.rest": fixed(
        "Wrap them, and let them rest until the grain side has nearly its dry colour again and still feels cool: a few "
        "hours, or a night."
    ),
    "order.form": form,
    "order.form over": form_over,
    "order.form lames": form_lames,
    "order.bend": bend,
    "order.at": at,
    "order.gives": gives,
    "order.gives little": fixed("Nowhere does it have to give by 1 % or more: bending it round is all."),
    "order.likewise": fixed("Form its mirror image in the same places, over the other side’s former."),
    "order.lip": lip,
    "order.springs back": springs_back,
    "order.tie rims": fixed(
        "Bind the leather to the former with soft bands at the bottom, the middle and the top, without a dent. That is "
        "common practice: nothing beyond a rim holds it down."
    ),
    "order.pulled off": fixed(
        "Then pad and tie or clamp it where it would stand off, pulled across a hollow or squeezed over a bulge, the "
        "worst first:"
    ),
    "order.tie": tie,
    "order.dry": dry,
    "order.shrinks": shrinks,
    "order.harden": harden,
    "order.harden to size": harden_to_size,
}
