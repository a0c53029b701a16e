"""What is asked of the leather and what it takes, in English."""

from __future__ import annotations

from flatten.units import square_feet
from flatten.words.english.amounts import grown, mm, percent, percent_range
from flatten.words.english.places import named
from flatten.words.language import Sentence


def region(side: str, level: str) -> str:
    """A region of a limb: "front, lower"."""
    return f"{named(side)}, {named(level)}"


def verdict(verdict: str, fits: bool) -> str:
    """Whether the leather takes the shape."""
    return _verdict(verdict, fits)


def _verdict(verdict: str, fits: bool) -> str:
    if verdict == "dry":
        return "This can be formed dry."
    if verdict == "cased":
        return "This can be formed cased (wet)." if fits else "Not dry, as the job asks; cased (wet) it can be formed."
    if verdict == "hard":
        return "This is hard work: beyond the leather’s limits, and only a former and clamps may reach it."
    return "This leather cannot be expected to take the shape. Move an edge, or open it at one more seam."


def over_limits(piece: str | None, verdict: str) -> str:
    """A piece that asks for more than the limits in force."""
    said = _verdict(verdict, fits=False)
    return said if piece is None else f"“{piece}”: {said[:1].lower()}{said[1:]}"


_FORMED = {"dry": "dry", "cased": "cased (wet)", "hard": "hard work", "not": "not to be expected"}


def formed(verdict: str) -> str:
    """How a region can be formed, in a few words."""
    return _FORMED[verdict]


def stretch(
    piece: str | None,
    stretch: float | None,
    stretched: str,
    squeeze: float | None,
    squeezed: str,
    beyond: float,
    fits: bool,
) -> str:
    """How far a piece stretches and is squeezed and where (None: so little that it is nothing), and its share beyond
    the limits; `fits` is false where only a line lies beyond them."""
    what = "The leather" if piece is None else f"The piece “{piece}”"
    if stretch is None and squeeze is None:
        asked = f"{what} need not stretch at all"
    elif stretch is None:
        asked = f"{what} is squeezed up to {percent(squeeze or 0.0)} {squeezed}"
    else:
        asked = f"{what} stretches up to {percent(stretch)} {stretched}"
        asked += (
            ", and is squeezed nowhere" if squeeze is None else f", and is squeezed up to {percent(squeeze)} {squeezed}"
        )
    if fits:
        return f"{asked}. That is within the limits."
    if not beyond:
        return f"{asked}. Along a line of 20 mm there it goes beyond the limits."
    return f"{asked}. {percent(beyond)} of the piece lies beyond the limits."


def beyond(share: float) -> str:
    """The share of a region that lies beyond the limits."""
    return percent(share) if share else "none"


_SOURCES = {
    "strip test": "The stretch is that of the weakest strip each way in your strip test; the squeeze, which no strip "
    "can show, is an opinion.",
    "given": "They are your own figures.",
    "lining": "They are those of thin lining leather or cloth, an opinion.",
}


def limits(
    stretch_along: float, stretch_across: float, squeeze_along: float, squeeze_across: float, source: str
) -> str:
    """The limits in force and where they come from."""
    preset = f"They are an opinion (the preset “{source}”): strips of your own leather tell better."
    source_said = _SOURCES.get(source, preset)
    along = f"{percent(stretch_along)} of stretch and {percent(squeeze_along)} of squeeze"
    across = f"{percent(stretch_across)} of stretch and {percent(squeeze_across)} of squeeze"
    if along == across:
        return f"The limits are {along}. {source_said}"
    return f"The limits are {along} along the grain, {across} across it. {source_said}"


def strips(width: float, thickness: float, load: float, stress: float) -> str:
    """The strips of the home stretch test and their load, kg and N/mm²."""
    return (
        f"The strips, {width:.0f} mm wide and {thickness:.1f} mm thick, carried {load:g} kg "
        f"({stress:.1f} N/mm²). A harder pull stretches leather further: the limits hold for this one."
    )


_FOUND = {
    "dry": "Dry, they stretched by {}.",
    "wet": "Cased, they stretched by {}.",
    "kept": "After drying and unloading, {} of stretch stayed.",
    "springback": "Of the stretch, {} sprang back: form that much further over the former.",
    "shrinkage": (
        "Unloaded strips shrank by {} in drying. The pieces are drawn that much larger, so that they fit when they "
        "have dried; a try-on in paper is that much too large."
    ),
    "hardening": "Hardened by heat, dry strips shrank by {}.",
}


def hardening(along: float, across: float) -> str:
    """That pieces are drawn larger by what hardening takes off, and what to do before they are cut."""
    return (
        f"The pieces are drawn larger by what hardening is to take off, {percent(along)} along the grain and "
        f"{percent(across)} across it. Heat shrinks leather unevenly, and more the longer it lasts (from memory): "
        "harden a scrap of the same hide first, in the same way, and measure it before you cut."
    )


def strips_found(what: str, along: str | None, across: str | None) -> str:
    """One figure of the home stretch test, along the grain, across it, or both."""
    read = ((along, "along"), (across, "across"))
    return _FOUND[what].format(" and ".join(f"{each} {way} the grain" for each, way in read if each is not None))


def reading(mean: float, least: float, greatest: float, strips: int) -> str:
    """The mean of some strips' figure and its range; that one strip alone tells no range is said."""
    if strips == 1:
        return f"{percent(mean)} (one strip)"
    return f"{percent(mean)} on average ({percent(least)} to {percent(greatest)}, {strips} strips)"


def least(piece: str | None, spread: float, least: float, cause: str | None) -> str:
    """What no pattern with these cuts can do without, and how much this one asks for (log-ratios)."""
    this = "this one" if piece is None else f"“{piece}”"
    asked = f"{this} asks for {grown(spread)}"
    if grown(least) == percent(0.0):
        return f"Nothing was found in the limb’s shape that asks for stretch; between squeeze and stretch {asked}."
    held = "" if cause is None else f", because of {cause}"
    return f"No pattern with these cuts needs less than {grown(least)} between squeeze and stretch{held}; {asked}."


def bend(where: str, radius: float, judged: str) -> str:
    """The tightest bend round the limb against the leather's thickness."""
    return f"It bends most {where}: inside radius {mm(radius)}, {judged}."


def too_tight(piece: str | None, where: str, radius: float, thicknesses: float, takes: float) -> str:
    """A bend that is too sharp for the leather; it takes a thickness of less than `takes` mm."""
    what = "The leather" if piece is None else f"“{piece}”"
    return (
        f"{what} bends to an inside radius of {radius:.1f} mm {where}, {thicknesses:.1f} times its thickness: its "
        f"grain cracks there, even cased. Use leather thinner than {takes:.1f} mm, or skive it to that there."
    )


_BENT = {
    "dry": "that is bent dry without trouble",
    "cased": "too tight for dry leather; case it",
    "not": "too tight even for cased leather; use thinner leather there or skive it",
}


def bend_judged(thicknesses: float, bends: str) -> str:
    """An inside radius of a bend in thicknesses of the leather, and whether leather takes it."""
    return f"{thicknesses:.1f} times the thickness: {_BENT[bends]}"


def lip(edge: str, flare: float, depth: float, worn: float, flat: float, radius: float, judged: str) -> str:
    """What a flared lip asks of the leather, along its rim and where it leaves the limb."""
    share = worn / flat - 1.0
    gives = f"stretches by {percent(share)}" if share >= 0.0 else f"is squeezed by {percent(-share)}"
    return (
        f"The lip of the {named(edge)} flares by {flare:g} mm over {depth:g} mm; its rim {gives}, from {mm(flat)} flat "
        f"to {mm(worn)} worn. Where it leaves the limb it bends to an inside radius of {mm(radius)}, {judged}."
    )


def waves(edge: str, piece: str, window: float, size: float, where: str, flared: bool) -> str:
    """An edge of a flat piece that comes out in waves, why, and what to do."""
    if flared:
        remedy = "Flare it by less or over more of its height"
    else:
        remedy = f"Move it {'up' if edge == 'bottom edge' else 'down'} to where the limb flares less"
    return (
        f"The {named(edge)} of “{piece}” comes out in waves {size:.1f} mm deep over {window:.0f} mm, most {where}: the "
        f"leather is at its limits all along it. {remedy}, or cut a fair curve through the middle of the waves."
    )


def amount(area: float, thickness: float, mass: float, bought: float) -> str:
    """How much leather the pieces take (mm²), what they weigh (g), and how much to buy (mm²)."""
    return (
        f"Buy at least {square_feet(bought):.1f} sq ft of leather {thickness:.1f} mm thick, in a form that the largest "
        f"piece fits on: the pieces take {square_feet(area):.2f} sq ft ({area / 100:.0f} cm²), and a quarter is added "
        f"for offcuts and flaws. They weigh about {mass:.0f} g."
    )


def no_tooling(
    piece: str, share: float, calm: float, where: tuple[str, ...], stretch: float, squeeze: float, sharpest: float
) -> str:
    """Where a piece is not to be carved or stamped (an opinion); `calm` is the share that alone may be, where that is
    what is drawn."""
    why = "forming would open or close the tooling up (an opinion: try a scrap)"
    if calm:
        return f"Carve or stamp “{piece}” only inside the marked lines, {percent(calm)} of it: elsewhere {why}."
    if share > 0.5:
        return f"Do not carve or stamp “{piece}”: nearly everywhere {why}."
    return (
        f"Do not carve or stamp “{piece}” inside the marked lines, {percent(share)} of it ({'; '.join(where)}): there "
        f"{why}."
    )


SENTENCES: dict[str, Sentence] = {
    "leather.region": region,
    "leather.verdict": verdict,
    "leather.over limits": over_limits,
    "leather.formed": formed,
    "leather.stretch": stretch,
    "leather.stretch range": percent_range,
    "leather.beyond": beyond,
    "leather.limits": limits,
    "leather.strips": strips,
    "leather.hardening": hardening,
    "leather.strips found": strips_found,
    "leather.reading": reading,
    "leather.least": least,
    "leather.bend": bend,
    "leather.too tight": too_tight,
    "leather.bend judged": bend_judged,
    "leather.lip": lip,
    "leather.waves": waves,
    "leather.no tooling": no_tooling,
    "leather.amount": amount,
}
