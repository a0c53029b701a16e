"""What to change about a job, in English: each change begins in small letters and gets its full stop when told."""

from __future__ import annotations

import math

from flatten.words.english.amounts import capital, percent
from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed

_SPACE = "\N{NO-BREAK SPACE}"


def change(changes: tuple[str, ...]) -> str:
    """One change, or several that are made together."""
    return f"{capital('; '.join(changes))}."


def raised(edge: str, by: float, where: str) -> str:
    """An edge that is raised."""
    return f"raise the {named(edge)} edge by {by:.0f} mm {where}"


def lowered(edge: str, by: float, where: str) -> str:
    """An edge that is lowered."""
    return f"lower the {named(edge)} edge by {by:.0f} mm {where}"


def at_sides(sides: tuple[str, ...]) -> str:
    """Some sides of a limb."""
    *others, last = (f"at the {named(side)}" for side in sides)
    return f"{', '.join(others)} and {last}" if others else last


def arched(by: float, front: str, back: str) -> str:
    """A bottom edge that is arched more."""
    return (
        f"arch the bottom edge more: {by:.0f} mm higher at the {named(front)} and at the {named(back)}, the sides as "
        "they are"
    )


_GAPS = {
    "laced": "lacing gap",
    "strapped": "gap between the strapped sides",
    "open": "opening",
    "several": "gap of each seam that opens",
}


def gap(opens: str, to: float) -> str:
    """A wider gap of a seam that opens in its way, or of "several"."""
    return f"widen the {_GAPS[opens]} to {to:.0f} mm"


def flare(edge: str, to: float, before: float) -> str:
    """A lip that flares less."""
    return f"flare the {named(edge)} edge by {to:g} mm instead of {before:g} mm"


def no_flare(edge: str, before: float) -> str:
    """A lip that is left out."""
    return f"leave the {named(edge)} edge’s lip of {before:g} mm out"


def seams(places: tuple[str, ...]) -> str:
    """One more seam, or two."""
    lead = "make one more seam" if len(places) == 1 else "make two more seams"
    return f"{lead}, stitched edge to edge, {' and '.join(places)}"


def cut(cut: str, pair: bool, depth: float, edge: str, where: str, opening: float | None) -> str:
    """A dart or a slash, or a pair of them; a slash stays open at the edge."""
    several = f"{cut}es" if cut == "slash" else f"{cut}s"
    lead = f"cut {f'a pair of {several}' if pair else f'a {cut}'} {depth:.0f} mm deep into the {named(edge)} edge"
    if opening is None:
        return f"{lead}, {where}"
    return f"{lead}, {where}, {'each ' if pair else ''}open by {opening:.0f} mm at the edge when worn"


def aside(angle: int, front: str) -> str:
    """Two places at either side of the front."""
    return f"{angle}° from the middle of the {named(front)}, on either side"


def at_angle(angle: int, front: str) -> str:
    """A place by its angle."""
    return f"at {angle}°, counted from the middle of the {named(front)}"


def at_middle(side: str) -> str:
    """A place in the middle of a side."""
    return f"at the middle of the {named(side)}"


def thickness(thinner: bool, to: float) -> str:
    """Leather of another thickness."""
    return f"use {'thinner' if thinner else 'thicker'} leather, {to:.1f} mm"


def heights(side: str, too: str) -> str:
    """Whose heights a moved edge has where a job is made for two limbs."""
    return f"The heights are those for the {named(side)} limb, and the {named(too)} one gets the same."


def _percent(share: float) -> str:
    return percent(share).replace(" ", _SPACE)


def gain(
    stretch: float, stretched: float, squeeze: float, squeezed: float, lost: float | None, limbs: int, judged: str
) -> str:
    """What a change brings to one or two limbs: the most stretch and squeeze after and before it, and the cover lost
    (shares)."""
    asked = f"The leather then stretches up to {_instead(stretch, stretched)}"
    asked += f" and is squeezed up to {_instead(squeeze, squeezed)}"
    cover = ""
    if lost is not None:
        cover = f"; {100 * lost:.0f}{_SPACE}% less of the limb{'' if limbs == 1 else 's'} is covered"
    return f"{asked}{cover}. {judged}"


def _instead(then: float, now: float) -> str:
    one, other = _percent(then), _percent(now)
    return f"{one} as before" if one == other else f"{one} instead of {other}"


def spare(by: float) -> str:
    """Room that is left to the limits (a share)."""
    return f"That leaves {_percent(by)} to the leather’s limits."


def still_beyond(by: float) -> str:
    """What is still missing (a share)."""
    return f"That helps, but is still {_percent(by)} beyond the limits."


def bends_less(motion: str, angle: float, before: float) -> str:
    """A joint that stops sooner (rad)."""
    return (
        f"But then {named(motion)} ends at about {math.degrees(angle):.0f}°, where it now goes to "
        f"{math.degrees(before):.0f}°."
    )


_NEAR = {
    "fibula": "An edge then lies on the outer side just below the knee, where a nerve runs under the skin.",
    "knee hollow": "An edge then lies in the hollow of the knee.",
    "crook of the elbow": "An edge then lies in the crook of the elbow.",
}


def near(tender: str) -> str:
    """An edge that comes to lie on a tender place."""
    return _NEAR[tender]


def no_bound(reason: str) -> str:
    """Why the bound is not there."""
    return f"What no pattern can beat could not be told: {reason}."


def not_judged(edge: float, reason: str) -> str:
    """Why neither bound nor advice is there: `reason` is the error on meshes with edges of `edge` mm."""
    return f"Neither advice nor what no pattern can beat can be told: drawn coarsely, by {edge:.0f} mm, {reason}."


def worse_on(limb: str, said: str) -> str:
    """What a change makes worse on one of two limbs."""
    return f"On the {named(limb)}: {said[:1].lower()}{said[1:]}"


SENTENCES: dict[str, Sentence] = {
    "advice.change": change,
    "advice.raise": raised,
    "advice.lower": lowered,
    "advice.all round": fixed("all round"),
    "advice.at sides": at_sides,
    "advice.arch": arched,
    "advice.gap": gap,
    "advice.flare": flare,
    "advice.no flare": no_flare,
    "advice.seams": seams,
    "advice.cut": cut,
    "advice.aside": aside,
    "advice.at angle": at_angle,
    "advice.at middle": at_middle,
    "advice.own shape": fixed(
        "let the leather keep the limb’s own shape instead of equal halves, which ask for more than the limb does"
    ),
    "advice.thickness": thickness,
    "advice.case": fixed("form the leather cased (wet) instead of dry"),
    "advice.heights": heights,
    "advice.gain": gain,
    "advice.still overlaps": fixed("A piece still overlaps itself when flat."),
    "advice.spare": spare,
    "advice.only just": fixed("That is within the limits, but only just."),
    "advice.still beyond": still_beyond,
    "advice.not put on": fixed("But then it cannot be put on: no seam opens far enough."),
    "advice.slides": fixed("But then nothing on the limb holds it up by itself: give it a strap."),
    "advice.bends less": bends_less,
    "advice.near": near,
    "advice.worse on": worse_on,
    "advice.not judged": not_judged,
    "advice.no bound": no_bound,
}
