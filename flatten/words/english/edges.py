"""What is told of a piece's edges and corners, in English."""

from __future__ import annotations

from flatten.words.english.amounts import metres, plural
from flatten.words.english.places import named
from flatten.words.language import Sentence

_KEPT_BY = {
    "side": "because the sides there are short",
    "eyelet": "to keep clear of an eyelet",
    "rivet": "to keep clear of a rivet",
    "snap": "to keep clear of a snap",
    "strap rivet": "to keep clear of a strap’s rivet",
    "slot": "to keep clear of a slot",
    "stitch": "to keep clear of a stitch hole",
    "notch": "to keep clear of a notch",
}


def smaller_corners(piece: str, count: int, least: float, most: float, wanted: float, kept_by: str) -> str:
    """Corners of a piece that are rounded by less than is usual, and why."""
    corners = "One corner" if count == 1 else f"{count} corners"
    are = "is" if count == 1 else "are"
    if most == 0.0:
        return f"{corners} of “{piece}” {are} left pointed, {_KEPT_BY[kept_by]}; take the point off by hand."
    radii = f"{least:g} mm" if least == most else f"{least:g} to {most:g} mm"
    return f"{corners} of “{piece}” {are} rounded by {radii} and not by {wanted:g} mm, {_KEPT_BY[kept_by]}."


def stitches(piece: str, count: int, length: float, thread: float) -> str:
    """The stitches along the open edges of a piece, and the thread that they take (mm)."""
    return (
        f"The edges of “{piece}” get {count} stitch hole{plural(count)} along {metres(length, 2)}, for about "
        f"{metres(thread)} of thread."
    )


_LINES = {"bevel line": "bevel", "border line": "border", "stitch line": "line of stitches"}


def gaps(piece: str, count: int, drawn: str) -> str:
    """A line along the edges that is parted by holes."""
    holes = "one hole" if count == 1 else f"{count} holes"
    return f"The {_LINES[drawn]} of “{piece}” has gaps at {holes}, which it would come too near to."


def finished(piece: str, edge: str, turned: bool, length: float, width: float, thickness: float) -> str:
    """An edge that is turned over or bound, and its strip (mm)."""
    of_edge = f"The {named(edge)} of “{piece}” is"
    if turned:
        return (
            f"{of_edge} turned: {width:.1f} mm of leather lie beyond it over {length:.0f} mm. Skive them to "
            f"{thickness:g} mm from the marked fold outwards, cut the marked slits and wedges, and fold it over to the "
            "flesh side."
        )
    return f"{of_edge} bound: cut a strip {length:.0f} mm long, {width:.1f} mm wide and {thickness:g} mm thick for it."


SENTENCES: dict[str, Sentence] = {
    "edge.smaller corners": smaller_corners,
    "edge.finished": finished,
    "edge.gaps": gaps,
    "edge.stitches": stitches,
}
