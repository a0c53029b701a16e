"""The order of work in English: what a maker reads at the bench."""

from __future__ import annotations

from flatten.units import square_feet
from flatten.words.english.amounts import capital, mm, percent, plural
from flatten.words.english.places import at_height, named
from flatten.words.language import Sentence, fixed

_STEPS = {
    "try on": "Try it on first",
    "cut": "Cut",
    "skive": "Skive the overlaps",
    "bevel": "Bevel the edges",
    "groove": "Groove the lines",
    "tool": "Carve and stamp",
    "punch": "Punch",
    "close darts": "Close the darts",
    "case": "Case the leather",
    "form": "Form",
    "tie": "Tie it down",
    "dry": "Let it dry",
    "punch through": "Punch what was left",
    "harden": "Harden",
    "dye": "Dye",
    "line": "Line it",
    "finish": "Finish the edges",
    "sew": "Sew",
    "set": "Set the hardware",
    "close": "Lace and strap",
    "fit": "Put it on",
}


def step(step: str) -> str:
    """What a step is called."""
    return _STEPS[step]


def _metres(length: float) -> str:
    return f"{length / 1000:.2f} m"


def _listed(each: tuple[str, ...]) -> str:
    """Parts of a sentence in a row: "one, another and a third"."""
    return " and ".join(part for part in (", ".join(each[:-1]), each[-1]) if part)


def try_on(narrower: float, closes: bool) -> str:
    """What a try-on in paper shows that leather will not."""
    comes = f"the lacing gap comes out {mm(narrower)} narrower" if closes else f"it laps over itself by {mm(narrower)}"
    return (
        f"Try it over all that is worn beneath. Paper has no thickness and takes up no ease: {comes} than in leather. "
        "Where the leather has to give (see Form), paper creases or stands off; that is no fault of the pattern."
    )


def mock_up(sheet: str, thickness: float) -> str:
    """That the job's own mock-up is tried on."""
    return (
        f"Cut mockup.pdf from {named(sheet)} {thickness:g} mm thick, and try it over all that is worn beneath. What it "
        "shows goes into the job file ([[fitting]]); make the job again before leather is cut. Where leather has to "
        "give (see Form), it creases or stands off."
    )


def paper_larger(along: float, across: float) -> str:
    """That pieces are drawn larger than they will be."""
    return (
        f"The pieces are drawn larger by what the leather shrinks in drying, {percent(along)} along the grain and "
        f"{percent(across)} across it: paper is that much too large."
    )


def cut(count: int, thickness: float, cut: float) -> str:
    """How much is cut of leather of one thickness."""
    return (
        f"Cut {count} piece{plural(count)} from leather {thickness:.1f} mm thick, {_metres(cut)} of cut in all, with "
        f"the grain side up and {'each arrow' if count > 1 else 'the arrow'} along the hide’s backbone."
    )


def cut_lining(count: int, thickness: float, cut: float, trimmed: bool) -> str:
    """How much is cut of a lining."""
    larger = "; it is cut larger than the leather, and trimmed when it is glued" if trimmed else ""
    return f"Cut the lining, {count} piece{plural(count)} of {thickness:.1f} mm, {_metres(cut)} of cut in all{larger}."


def cut_piece(piece: str, cut: float) -> str:
    """One piece and how much of it is cut."""
    return f"{piece}: {_metres(cut)}."


def stops(holes: str) -> str:
    """What is punched before a dart is cut."""
    return f"Punch {holes} first, at the tips of the darts, and cut up to them: a cut that ends in a point tears on."


def skive(seam: str, width: float, left: float) -> str:
    """How an overlap is skived."""
    return (
        f"“{seam}”: skive the lower layer on its grain side and the upper one on its flesh side, over all {mm(width)} "
        f"of the overlap, down to {left:.1f} mm at the edge."
    )


def bevel(free: float, under: bool) -> str:
    """Which edges are bevelled, and how much."""
    rest = " Leave those square that leather is sewn or riveted to." if under else ""
    return f"Bevel the edges that stay free, {_metres(free)} in all, before anything is wet.{rest}"


def groove(seam: str, row: float, before: float, after: float, pitch: float, count: int) -> str:
    """Where a stitch line is grooved."""
    line = f"{row:.1f} mm from the edge" if row else "on the line of its holes"
    first, last = mm(before), mm(after)
    sides = f"{first} long on both sides" if first == last else f"{first} long on one side and {last} on the other"
    return f"“{seam}”: a groove {line}, {sides}; in it {count} stitch holes on each, {pitch:.1f} mm apart."


_LINES = {"border line": "The border line, within which tooling ends", "stitch line": "The stitch line along the edges"}


def edge_line(grooved: str, run: float) -> str:
    """A line along edges that is grooved."""
    return f"{_LINES[grooved]}: {_metres(run)} in all, as it is drawn."


def punch(holes: tuple[str, ...]) -> str:
    """What is punched in the flat leather."""
    return f"Punch now, in the flat leather: {_listed(holes)}. Wet leather tears out beneath a punch."


def not_yet(holes: tuple[str, ...]) -> str:
    """What is not yet punched."""
    return (
        f"Leave for later: {_listed(holes)}. They are drawn as a cross in a circle, and marked through the other layer "
        "when both are formed."
    )


def punch_through(holes: tuple[str, ...]) -> str:
    """What is punched when the layers are formed."""
    return (
        f"Lay the upper layer on the lower one as it will sit, mark through its holes, and punch {_listed(holes)} in "
        "the lower one."
    )


def dart(dart: str, cut: str, closing: str, strip: bool) -> str:
    """How a dart or slash is closed before forming."""
    over = " over the strip of leather beneath" if strip else ""
    if closing == "riveted":
        return (
            f"Tie the {cut} “{dart}” together{over} with thread through its holes; its rivets are set when it is dry, "
            "for iron stains wet leather."
        )
    return f"Stitch the {cut} “{dart}”{over} now."


def weigh(mass: float) -> str:
    """What the dry pieces weigh."""
    return f"Weigh the pieces first, about {mass:.0f} g in all, and write it down: so you will know when they are dry."


def soak(thickness: float, least: float, most: float) -> str:
    """How long leather of one thickness lies in water."""
    return (
        f"Lay them in cold water until no more bubbles rise. By common practice that takes {least:.0f} to {most:.0f} "
        f"minutes at {thickness:.1f} mm; leathers differ, so go by the bubbles and not by the clock."
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


def _beneath(on: str) -> str:
    return "the base" if on == "base" else f"“{on}”"


def form_over(piece: str, on: str) -> str:
    """Over what a plate is formed."""
    return (
        f"The piece “{piece}” is formed over {_beneath(on)}, when that is dry and still on the former, with thin film "
        "between them: it lies one leather further out."
    )


def form_lames(name: str) -> str:
    """Over what lames are formed."""
    return (
        f"The lames of “{name}” are formed one over another, as they will lie: from the base on, each over the one "
        "before it."
    )


def bend(piece: str | None, where: str, radius: float) -> str:
    """Where a piece bends most."""
    lead = "It" if piece is None else f"The piece “{piece}”"
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


def shrinks(along: float, across: float) -> str:
    """What the pieces shrink by."""
    return (
        f"By your strips it shrinks by {percent(along)} along the grain and {percent(across)} across it, and comes to "
        "its size."
    )


def harden(least: float, most: float) -> str:
    """What to know before hardening."""
    return (
        f"Heat shrinks leather: water of 76 to 82 °C took {percent(least)} to {percent(most)} of its length off, and "
        "the pieces are not drawn larger for that. So harden a strip of 100 mm from the same hide first, measure it, "
        "and harden the pieces only in a way that leaves its length."
    )


def dye(area: float, dried: bool) -> str:
    """What is dyed."""
    when = ", when it is dry through" if dried else ""
    return f"Dye {square_feet(area):.2f} sq ft of grain side{when}, before edges are finished and hardware is set."


def finish(edges: float) -> str:
    """How much edge is finished."""
    return f"Finish {_metres(edges)} of edges, and seal the leather."


def line(count: int, trimmed: bool) -> str:
    """How a lining is glued in."""
    trim = " When the glue holds, trim it back to the leather’s edge." if trimmed else ""
    return (
        f"Glue {'the lining' if count == 1 else f'the {count} pieces of the lining'} to the flesh side of the dry "
        f"leather while it lies in its shape, from the middle outwards.{trim} Then punch through it wherever the "
        "leather has a hole."
    )


def sew(seam: str, count: int) -> str:
    """How a seam is sewn."""
    return f"Sew “{seam}” through its {count} pairs of holes, with two needles."


def sew_edges(count: int) -> str:
    """How edges are stitched."""
    return f"Sew along the edges, through {count} holes in all."


def hardware(item: str, count: int, hole: float, sold: float, seam: str, on: str | None, strap: str | None) -> str:
    """What is set for one seam, dart or plate, or for its straps; a plate lies `on` something."""
    post = f", with posts of {sold:g} mm" if item != "eyelet" else ""
    where = f"“{seam}”" if on is None else f"“{seam}” on {_beneath(on)}"
    where += "" if strap is None else f", its {strap}s"
    return f"{where}: {count} {named(item)}{plural(count)} in holes of {hole:g} mm{post}."


def set_lames(name: str) -> str:
    """How the lames of a row are riveted to one another."""
    return (
        f"Of “{name}” rivet the lame furthest from the base first, to the one before it, and so on down to the base; "
        "rivets that turn or slide are set loosely, and tried before the next."
    )


def lace(seam: str, count: int, length: float) -> str:
    """How a seam is laced."""
    each = " each" if count > 1 else ""
    return f"Lace “{seam}” criss-cross from the bottom up: {count} lace{plural(count)} of {length / 1000:.1f} m{each}."


def straps(seam: str, count: int) -> str:
    """How a seam is strapped."""
    return f"Close “{seam}” with its {count} strap{plural(count)}, the lowest first."


SENTENCES: dict[str, Sentence] = {
    "order.heading": fixed("The order of work"),
    "order.lead": fixed(
        "Orders differ from maker to maker; this one is common practice, with the figures of this job. How far leather "
        "must give, and where it stands off, is computed and was not tried on leather."
    ),
    "order.step": step,
    "order.try on": try_on,
    "order.mock-up": mock_up,
    "order.paper larger": paper_larger,
    "order.cut": cut,
    "order.cut lining": cut_lining,
    "order.cut piece": cut_piece,
    "order.two sides": fixed("Left and right are mirror images: keep each piece’s label with it."),
    "order.stops": stops,
    "order.skive": skive,
    "order.bevel": bevel,
    "order.groove": groove,
    "order.edge line": edge_line,
    "order.tool": fixed(
        "Carve and stamp now, if you will, on leather that is damp and not soaked, and go by the zones that are marked "
        "on the pieces."
    ),
    "order.punch": punch,
    "order.not yet": not_yet,
    "order.punch through": punch_through,
    "order.dart": dart,
    "order.darts first": fixed(
        "Darts are closed before the leather is formed: what it has to give was computed with their sides together."
    ),
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
    "order.likewise": fixed("Form its mirror image in the same places, over a mirrored former."),
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
    "order.dye": dye,
    "order.finish": finish,
    "order.line": line,
    "order.sew": sew,
    "order.sew edges": sew_edges,
    "order.set": hardware,
    "order.set lames": set_lames,
    "order.lace": lace,
    "order.straps": straps,
    "order.fit": fixed(
        "Put it on over all that is worn beneath, close it, and bend and move in it as you will; let it out where it "
        "presses."
    ),
}
