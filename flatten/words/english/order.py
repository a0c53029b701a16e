"""The order of work in English: its steps, and what is done while the leather is flat and dry."""

from __future__ import annotations

from flatten.words.english.amounts import listed, metres, mm, percent, plural
from flatten.words.english.places import named
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


def try_on(narrower: float, closes: bool) -> str:
    """What a try-on in paper shows that leather will not."""
    comes = f"the gap comes out {mm(narrower)} narrower" if closes else f"it laps over itself by {mm(narrower)} more"
    return (
        f"Try it over all that is worn beneath. Paper has no thickness and takes up no ease: {comes} than in leather. "
        "Where leather has to give (see Form), paper creases or stands off; that is no fault of the pattern."
    )


def mock_up(sheet: str, thickness: float) -> str:
    """That the job's own mock-up is tried on."""
    return (
        f"Cut mockup.pdf from {named(sheet)} {thickness:g} mm thick, and try it over all that is worn beneath. What it "
        "shows goes into the job file ([[fitting]]); make the job again before leather is cut. Where leather has to "
        "give (see Form), it creases or stands off."
    )


def paper_larger(along: float, across: float, dried: bool, hardened: bool) -> str:
    """That pieces are drawn larger than they will be."""
    shrinks = "drying and hardening" if dried and hardened else "hardening" if hardened else "drying"
    return (
        f"The pieces are drawn larger by what the leather shrinks in {shrinks}, {percent(along)} along the grain and "
        f"{percent(across)} across it: paper is that much too large."
    )


def cut(count: int, thickness: float, cut: float) -> str:
    """How much is cut of leather of one thickness."""
    return (
        f"Cut {count} piece{plural(count)} from leather {thickness:.1f} mm thick, {metres(cut, 2)} of cut in all, with "
        f"the grain side up and {'each arrow' if count > 1 else 'the arrow'} along the hide’s backbone."
    )


def cut_larger(along: float, across: float) -> str:
    """That pieces are cut as they are drawn, larger by what hardening takes off."""
    return (
        f"Cut them as they are drawn: {percent(along)} of that along the grain and {percent(across)} across it is for "
        "hardening. Leather that is not hardened stays too large; holes keep their size."
    )


def cut_lining(count: int, thickness: float, cut: float, trimmed: bool) -> str:
    """How much is cut of a lining."""
    larger = "; it is cut larger than the leather, and trimmed when it is glued" if trimmed else ""
    return (
        f"Cut the lining, {count} piece{plural(count)} of {thickness:.1f} mm, {metres(cut, 2)} of cut in all{larger}."
    )


def stops(holes: str) -> str:
    """What is punched before a dart is cut."""
    return f"Punch {holes} first, at the tips of the darts, and cut up to them: a cut that ends in a point tears on."


def skive(seam: str, width: float, left: float) -> str:
    """How an overlap is skived."""
    return (
        f"“{named(seam)}”: skive the lower layer on its grain side and the upper one on its flesh side, over all "
        f"{mm(width)} of the overlap, down to {left:.1f} mm at the edge."
    )


def bevel(free: float, under: bool) -> str:
    """Which edges are bevelled, and how much."""
    rest = " Leave those square that leather is sewn or riveted to." if under else ""
    return f"Bevel the edges that stay free, {metres(free, 2)} in all, before anything is wet.{rest}"


def groove(seam: str, row: float, before: float, after: float, pitch: float, count: int) -> str:
    """Where a stitch line is grooved."""
    line = f"{row:.1f} mm from the edge" if row else "on the line of its holes"
    first, last = mm(before), mm(after)
    sides = f"{first} long on both sides" if first == last else f"{first} long on one side and {last} on the other"
    holes = f"{count} stitch hole{plural(count)} on each, {pitch:.1f} mm apart"
    return f"“{named(seam)}”: a groove {line}, {sides}; in it {holes}."


_LINES = {"border line": "The border line, within which tooling ends", "stitch line": "The stitch line along the edges"}


def edge_line(grooved: str, run: float) -> str:
    """A line along edges that is grooved."""
    return f"{_LINES[grooved]}: {metres(run, 2)} in all, as it is drawn."


def punch(holes: tuple[str, ...]) -> str:
    """What is punched in the flat leather."""
    return f"Punch now, in the flat leather: {listed(holes)}. Wet leather tears out beneath a punch."


def dart(dart: str, cut: str, closing: str, strip: bool) -> str:
    """How a dart or slash is closed before forming."""
    over = " over the strip of leather beneath" if strip else ""
    if closing == "riveted":
        return (
            f"Tie the {cut} “{dart}” together{over} with thread through its holes; its rivets are set when it is dry, "
            "for iron stains wet leather."
        )
    return f"Stitch the {cut} “{dart}”{over} now."


def carve(pieces: int, carved: float, hours: float) -> str:
    """What of ornament is carved, and by which sheets."""
    on = "the piece" if pieces == 1 else f"{pieces} pieces"
    return (
        f"Trace the ornament of {on} from tooling.pdf, carve its {metres(carved, 1)} of lines and bevel them on their "
        f"dashed sides: about {hours:.1f} hours at your pace."
    )


SENTENCES: dict[str, Sentence] = {
    "order.heading": fixed("The order of work"),
    "order.lead": fixed(
        "Orders differ from maker to maker; this one is common practice, with this job’s figures. How far leather must "
        "give, and where it stands off, is computed and was not tried on leather."
    ),
    "order.step": step,
    "order.try on": try_on,
    "order.mock-up": mock_up,
    "order.paper larger": paper_larger,
    "order.cut": cut,
    "order.cut larger": cut_larger,
    "order.cut lining": cut_lining,
    "order.two sides": fixed("Left and right are mirror images: keep each piece’s label with it."),
    "order.stops": stops,
    "order.skive": skive,
    "order.bevel": bevel,
    "order.groove": groove,
    "order.edge line": edge_line,
    "order.carve": carve,
    "order.tool": fixed(
        "Carve and stamp now, if you will, on leather that is damp and not soaked, within the zones marked on the "
        "pieces."
    ),
    "order.punch": punch,
    "order.not yet": fixed(
        "Leave those that are drawn as a cross in a circle: they are marked through the other layer when both are "
        "formed."
    ),
    "order.dart": dart,
    "order.darts first": fixed(
        "Darts are closed before the leather is formed: what it has to give was computed with their sides together."
    ),
}
