"""The former in English: what is engraved and written on it, and what the report tells of it."""

from __future__ import annotations

from flatten.words.english.amounts import mm, percent, plural
from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed


def side(side: str) -> str:
    """The wearer's side, engraved."""
    return named(side).upper()


def rib(number: int) -> str:
    """A rib's name."""
    return f"rib {number}"


def spine(number: int) -> str:
    """A spine's name."""
    return f"spine {number}"


def rib_height(height: float) -> str:
    """Where a rib's middle is."""
    return f"height {height:.1f} mm".replace("-", "−").replace("−0.0", "0.0")


def rib_up(side: str) -> str:
    """The wearer's side that a rib is for, and which of its faces is drawn."""
    return f"{named(side).upper()}, face up"


def rib_front(side: str) -> str:
    """What a rib's tick shows."""
    return named(side)


def sheet_title(title: str, side: str) -> str:
    """What stands over the rib sheets."""
    return f"{title}: ribs of the former, {named(side)}"


def glue(length: float) -> str:
    """How rib sheets come onto the board."""
    return f"Measure the {mm(length)} square, then glue each outline to the board, or trace it. Saw on the outline."


def what(past: float, low: float, high: float) -> str:
    """What a former is."""
    return (
        f"The former is the inner face of the piece, with what is worn beneath, at true size. It runs {mm(past)} past "
        f"the lowest and the highest place of the edges, from {mm(low)} to {mm(high)} of height, between level ends."
    )


def printed(side: str, count: int, first: str, last: str, wide: float, deep: float, tall: float, litres: float) -> str:
    """The printed parts of a former."""
    files = first if count == 1 else f"{first} to {last}, from the bottom up"
    size = f"{wide:.0f} × {deep:.0f} × {tall:.0f} mm"
    parts = f"one part, {size}" if count == 1 else f"{count} parts, none larger than {size}"
    return f"Printed, {named(side)}: {parts}, {litres:.1f} litres in all ({files})."


def ribbed(
    side: str, ribs: int, spines: int, apart: float, board: float, play: float, drawing: str, sheets: str
) -> str:
    """The ribs of a former."""
    on = "a spine" if spines == 1 else f"{spines} crossed spine boards"
    return (
        f"In ribs, {named(side)}: {ribs} rib{plural(ribs)} {apart:.1f} mm apart on {on}, of board {board:g} mm thick, "
        f"slots {board + play:g} mm wide ({drawing}, {sheets}). Measure the board: it is often not as thick as it is "
        "called."
    )


def pegs(clearance: float) -> str:
    """How printed parts are put together."""
    return (
        f"The parts are numbered on their undersides, where there is room, and meet on pegs with {clearance:g} mm of "
        "clearance all round: glue or tape them together."
    )


def hollow(wall: float) -> str:
    """What a hollow former is for."""
    return f"It has a wall of {mm(wall)} and is open at both ends: fill it, or put a post through it to clamp it."


def bevel(cover: float) -> str:
    """What is done with ribs."""
    less = f" They are {mm(cover)} smaller all round, for the foam or felt that goes over them." if cover else ""
    return (
        "A rib’s outline is that at the middle of its board: bevel its edges until a thin lath lies fair over its "
        f"neighbours, and fill between the ribs with foam, felt or thin strips before you form over them.{less}"
    )


def sprung(springback: float, girths: tuple[str, ...]) -> str:
    """How much further a former bends than the limb."""
    told = f": {'; '.join(girths)}" if girths else ""
    return (
        f"Of a bend {percent(springback)} is taken to come back when the leather is dry, so the former bends that much "
        f"further: its radius is {percent(1.0 - springback)} of the piece’s own{told}. Edges are engraved where the "
        "leather comes to lie, its own middle in its place."
    )


def girth(landmark: str, girth: float, less: float) -> str:
    """A girth of a former, and by how much it is less than the piece's own."""
    return f"{named(landmark)} {mm(girth)}, {less:.1f} mm less"


def short(edge: str, past: float, asked: float) -> str:
    """A former that ends too soon."""
    reach = f"{mm(past)} past the {edge}" if past >= 0.0 else f"{mm(-past)} before the farthest place of the {edge}"
    return f"The former ends {reach}, not {mm(asked)}: the scan is not trusted further. Scan more of the limb for more."


def closed(seam: str, gap: float, less: float, most: float) -> str:
    """A seam that does not stay open on a former."""
    return (
        f"On the former the leather closes over itself at the seam “{seam}”: bent that much further it needs "
        f"{mm(less)} there, and only {mm(gap)} are left open. Springback up to {percent(most)} leaves room; or form "
        "one side after the other."
    )


SENTENCES: dict[str, Sentence] = {
    "former.side": side,
    "former.rib": rib,
    "former.spine": spine,
    "former.rib height": rib_height,
    "former.rib up": rib_up,
    "former.rib front": rib_front,
    "former.sheet title": sheet_title,
    "former.how.glue": glue,
    "former.how.slots": fixed(
        "Try one slot on the board before you cut all: it must go together by hand and not rattle."
    ),
    "former.how.ribs": fixed(
        "Put the ribs on the first spine, number 1 at the bottom, each written face up, fronts in line; then slide\n"
        "the other spines in from the sides. Glue. The end ribs lie flush with the former’s ends."
    ),
    "former.caution sheets": fixed(
        "Cut away from yourself; saw with eye protection, and wear a mask where you saw and sand. Hot glue burns.\n"
        "Heed the labels of glue and resin, and your local rules before anything said here."
    ),
    "former.what": what,
    "former.printed": printed,
    "former.ribbed": ribbed,
    "former.engraved": fixed(
        "Fine grooves show where the leather’s edges lie; the upright one is the front, the level one height 0. The "
        "wearer’s side and an arrow towards the body stand beside the front. Under thin leather fill the grooves that "
        "it lies on; thick wet leather bridges their 0.8 mm."
    ),
    "former.pegs": pegs,
    "former.hollow": hollow,
    "former.solid": fixed(
        "The files are solid: the printer’s own program makes the inside as dense as you tell it; clamps want four "
        "walls or more. The heat that hardens leather softens most printed plastic."
    ),
    "former.bevel": bevel,
    "former.sprung": sprung,
    "former.not sprung": fixed(
        "It is not bent further for springback: a trial piece shows how far formed leather opens again; give that "
        "share of the bend as springback under [former]."
    ),
    "former.girth": girth,
    "former.short": short,
    "former.closed": closed,
    "former.caution": fixed(
        "Making a former: hot glue and hot plastic burn, saws and knives cut, dust from sanding and fumes from resin "
        "and printing harm: eye protection, mask and open windows. Local rules go before this."
    ),
    "report.heading.former": fixed("What to form it on"),
}
