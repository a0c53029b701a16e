"""What is asked of the leather and what it takes, in English."""

from __future__ import annotations

from flatten.units import square_feet
from flatten.words.english.amounts import capital, grown, mm, percent, percent_range
from flatten.words.english.places import at_height, named
from flatten.words.language import Sentence


def region(side: str, level: str) -> str:
    """A region of a limb: "front, lower"."""
    return f"{named(side)}, {named(level)}"


def spot(zero: str, height: float, side: str, level: str) -> str:
    """Where a stretch is found: "31 mm above the ankle (front, lower)"."""
    return f"{at_height(zero, height)} ({region(side, level)})"


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
    return said if piece is None else f"The piece “{piece}”: {said}"


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
    if stretch is not None:
        asked = f"the leather stretches up to {percent(stretch)}, {stretched}"
    elif squeeze is not None:
        asked = f"the leather is squeezed up to {percent(squeeze)}, {squeezed}"
    else:
        asked = "the leather need not stretch at all"
    lead = capital(asked) if piece is None else f"In the piece “{piece}” {asked}"
    if squeeze is None:
        lead += "; it is not squeezed anywhere"
    elif stretch is not None:
        lead += f"; it is squeezed up to {percent(squeeze)}, {squeezed}"
    if fits:
        return f"{lead}. All of it lies within the limits."
    if not beyond:
        return f"{lead}. Along a line of 20 mm there it goes beyond the limits."
    return f"{lead}. {percent(beyond)} of the piece lies beyond the limits."


def beyond(share: float) -> str:
    """The share of a region that lies beyond the limits."""
    return percent(share) if share else "none"


_SOURCES = {
    "strip test": (
        "Their stretch is that of the weakest strip of each direction in your strip test; a strip cannot show squeeze, "
        "which is an opinion."
    ),
    "given": "They are your own figures.",
    "lining": "They are those of thin lining leather or cloth, an opinion.",
}


def limits(
    stretch_along: float, stretch_across: float, squeeze_along: float, squeeze_across: float, source: str
) -> str:
    """The limits in force and where they come from."""
    preset = f"They are the preset “{source}”, an opinion: strips of your own leather tell better."
    source_said = _SOURCES.get(source, preset)
    along = f"{percent(stretch_along)} of stretch and {percent(squeeze_along)} of squeeze"
    across = f"{percent(stretch_across)} of stretch and {percent(squeeze_across)} of squeeze"
    if along == across:
        return f"The limits in force are {along}, along the grain and across it. {source_said}"
    return f"The limits in force are {along} along the grain, {across} across it. {source_said}"


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
}


def strips_found(what: str, along: str | None, across: str | None) -> str:
    """One figure of the home stretch test, along the grain, across it, or both."""
    read = ((along, "along"), (across, "across"))
    return _FOUND[what].format(" and ".join(f"{each} {way} the grain" for each, way in read if each is not None))


def reading(mean: float, least: float, greatest: float, strips: int) -> str:
    """The mean of some strips' figure and its range; that one strip alone tells no range is said."""
    if strips == 1:
        return f"{percent(mean)} (one strip)"
    return f"{percent(mean)} on average ({percent(least)} to {percent(greatest)}, {strips} strips)"


def least(piece: str | None, spread: float, reachable: float | None, least: float, cause: str | None) -> str:
    """What no pattern with these cuts can do without, beside what this one asks and could do with (log-ratios)."""
    this = "this piece" if piece is None else f"the piece “{piece}”"
    lead = f"The stretch of {this} differs by {grown(spread)} from its least to its most stretched place"
    if reachable is not None and grown(reachable) != grown(spread):
        lead += f" and need differ by only {grown(reachable)}"
    if grown(least) == percent(0.0):
        return f"{lead}; nothing was found in the limb’s shape that asks for it."
    held = "" if cause is None else f" What asks for it is {cause}."
    bound = f"no pattern with these cuts needs less than {grown(least)}"
    return f"{lead}; {bound}, by a lower bound computed on a mesh of 8 mm.{held}"


def bend(where: str, radius: float, judged: str, strain: float) -> str:
    """The tightest bend round the limb against the leather's thickness."""
    return (
        f"The tightest bend round the limb lies {where}: inside radius {mm(radius)}, {judged}. It adds "
        f"{percent(strain)} to the stretch of the grain side there."
    )


def too_tight(piece: str | None, where: str, radius: float, thicknesses: float) -> str:
    """A bend that is too sharp for the leather."""
    of_piece = "" if piece is None else f" of the piece “{piece}”"
    return (
        f"The leather{of_piece} bends to an inside radius of {radius:.1f} mm {where}, {thicknesses:.1f} times its "
        "thickness: its grain cracks there, even cased. Use thinner leather, or skive it there."
    )


_BENT = {
    "dry": "which it takes dry",
    "cased": "too tight for dry leather; case it",
    "not": "too tight even for cased leather; use thinner leather there or skive it",
}


def bend_judged(thicknesses: float, bends: str) -> str:
    """An inside radius of a bend in thicknesses of the leather, and whether leather takes it."""
    return f"{thicknesses:.1f} times the thickness, {_BENT[bends]}"


def lip(edge: str, flare: float, depth: float, worn: float, flat: float, radius: float, judged: str) -> str:
    """What a flared lip asks of the leather, along its rim and where it leaves the limb."""
    share = worn / flat - 1.0
    grows = f"grows by {percent(share)}" if share >= 0.0 else f"is squeezed by {percent(-share)}"
    return (
        f"The lip of the {named(edge)} flares by {flare:g} mm over {depth:g} mm: its rim is {mm(worn)} long "
        f"when worn and {mm(flat)} when flat, so the leather {grows} along it. Where it leaves the limb it bends "
        f"to an inside radius of {mm(radius)}, {judged}."
    )


def waves(edge: str, piece: str, window: float, size: float, where: str, flared: bool) -> str:
    """An edge of a flat piece that comes out in waves, why, and what to do."""
    if flared:
        remedy = "Flare it by less or over more of its height"
    else:
        remedy = f"Move it {'up' if edge == 'bottom edge' else 'down'} to where the limb flares less"
    return (
        f"The {named(edge)} of the flat piece “{piece}” comes out in waves: over {window:.0f} mm it leaves a fair "
        f"curve by {size:.1f} mm, most {where}, for the leather is at its limits all along it. {remedy}, or cut along "
        f"a fair curve through the middle of the waves."
    )


def amount(area: float, thickness: float, mass: float, bought: float) -> str:
    """How much leather the pieces take (mm²), what they weigh (g), and how much to buy (mm²)."""
    return (
        f"The pieces take {square_feet(area):.2f} sq ft ({area / 100:.0f} cm²) of leather {thickness:.1f} mm thick and "
        f"weigh about {mass:.0f} g. With a quarter added for offcuts and flaws, buy at least "
        f"{square_feet(bought):.1f} sq ft, in a form that the largest piece fits on."
    )


def no_tooling(
    piece: str, share: float, calm: float, where: tuple[str, ...], stretch: float, squeeze: float, sharpest: float
) -> str:
    """Where a piece is not to be carved or stamped, and why (an opinion); `calm` is the share that alone may be, where
    that is what is drawn."""
    why = (
        f"the leather stretches by more than {percent(stretch)}, is squeezed by more than {percent(squeeze)} or bends "
        f"to an inside radius below {sharpest:.0f} mm, and tooling would open or close up (an opinion: try a scrap)"
    )
    if calm:
        return (
            f"Carve or stamp the piece “{piece}” only inside the marked lines, {percent(calm)} of it: elsewhere {why}."
        )
    if share > 0.5:
        return f"Do not carve or stamp the piece “{piece}”: nearly everywhere {why}."
    return (
        f"Do not carve or stamp the piece “{piece}” inside the marked lines, {percent(share)} of it, most at "
        f"{'; '.join(where)}: there {why}."
    )


SENTENCES: dict[str, Sentence] = {
    "leather.region": region,
    "leather.spot": spot,
    "leather.verdict": verdict,
    "leather.over limits": over_limits,
    "leather.formed": formed,
    "leather.stretch": stretch,
    "leather.stretch range": percent_range,
    "leather.beyond": beyond,
    "leather.limits": limits,
    "leather.strips": strips,
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
