"""What is done in English when the leather is formed and dry: punching, dyeing, lining, sewing, setting, closing."""

from __future__ import annotations

from flatten.units import square_feet
from flatten.words.english.amounts import listed, metres, plural
from flatten.words.english.places import beneath, named
from flatten.words.language import Sentence, fixed


def punch_through(holes: tuple[str, ...]) -> str:
    """What is punched when the layers are formed."""
    return (
        "Lay the upper layer on the lower one as it will sit, mark through its holes, and punch in the lower one "
        f"{listed(holes)}."
    )


def dye(area: float, dried: bool) -> str:
    """What is dyed."""
    when = ", when it is dry through" if dried else ""
    return f"Dye {square_feet(area):.2f} sq ft of grain side{when}, before edges are finished and hardware is set."


def finish(edges: float) -> str:
    """How much edge is finished."""
    return f"Finish {metres(edges, 2)} of edges, and seal the leather."


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
    return f"Sew “{named(seam)}” through its {count} pair{plural(count)} of holes, with two needles."


def sew_edges(count: int) -> str:
    """How edges are stitched."""
    return f"Sew along the edges, through {count} hole{plural(count)} in all."


def hardware(item: str, count: int, hole: float, sold: float, seam: str, on: str | None, strap: str | None) -> str:
    """What is set for one seam, dart or plate, or for its straps; a plate lies `on` something."""
    post = f", with posts of {sold:g} mm" if item != "eyelet" else ""
    where = f"“{named(seam)}”" if on is None else f"“{named(seam)}” on {beneath(on)}"
    where += "" if strap is None else f", its {strap}s"
    return f"{where}: {count} {named(item)}{plural(count)} in holes of {hole:g} mm{post}."


def set_lames(name: str) -> str:
    """How the lames of a row are riveted to one another."""
    return (
        f"Of “{name}” rivet the lame furthest from the base first, to the one before it, and so on down to the base; "
        "rivets that turn or slide are set loosely, and each is tried before the next."
    )


def lace(seam: str, count: int, length: float) -> str:
    """How a seam is laced."""
    each = " each" if count > 1 else ""
    laces = f"{count} lace{plural(count)} of {metres(length)}{each}"
    return f"Lace “{named(seam)}” criss-cross from the bottom up: {laces}."


def straps(seam: str, count: int) -> str:
    """How a seam is strapped."""
    return f"Close “{named(seam)}” with its {count} strap{plural(count)}{', the lowest first' if count > 1 else ''}."


SENTENCES: dict[str, Sentence] = {
    "order.punch through": punch_through,
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
