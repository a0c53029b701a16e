"""What was done to a scan while it was read, in English."""

from __future__ import annotations

from flatten.units import share_text
from flatten.words.language import Sentence

_ONE = {"bytes": "byte", "faces": "face", "points": "point", "vertices": "vertex"}


LEAST_SHARE = 0.01
"""Share of a scan below which none is told in per cent: it would round to nothing, or to more than it is."""


def _some(count: int, of: str) -> str:
    """So many parts of a scan, "1 vertex"."""
    return f"{count} {_ONE.get(of, of) if count == 1 else of}"


def _faces(count: int) -> str:
    return _some(count, "faces")


def _were(count: int) -> str:
    return "was" if count == 1 else "were"


def archive(count: int, file: str) -> str:
    """The scan file that was taken out of an archive."""
    return f"'{file}' was taken out of the archive."


def colours(count: int, reason: str) -> str:
    """A picture that cannot be read, and the reader's reason."""
    return f"The picture on the surface cannot be read ({reason}): the scan is shown without its colours."


def columns(count: int, named: tuple[int, int, int] | None) -> str:
    """The columns of a table that are coordinates, as the file names them, or beside one that counts the rows."""
    if named is None:
        return "The first column only counts the rows: the next three were taken."
    x, y, z = named
    return f"The coordinates are the columns {x}, {y} and {z}, as named."


def comma(count: int) -> str:
    """Decimals with a comma."""
    return "The file writes decimals with a comma (12,5) and was read so."


def degenerate(count: int) -> str:
    """Faces without an area."""
    return f"{_faces(count)} without an area left out."


def duplicate(count: int) -> str:
    """Faces that lie twice."""
    return f"{_faces(count)} lay twice on the same three corners and {_were(count)} left out."


def floor(count: int, of: str) -> str:
    """A floor that was left out; `of` is "faces" or "points"."""
    return f"{_some(count, of)} of a floor or another flat around the limb left out."


def fragments(count: int, share: float, kept: str) -> str:
    """Parts that were left out, and what was `kept`: the "large" ones, the "largest" or the "picked" one.

    `share` of the surface is theirs, or, beside a picked one, that one's.
    """
    part = "part" if count == 1 else "parts"
    if kept == "picked":
        return f"{count} other {part} left out; the picked one has {share_text(share, 1)} of the surface."
    said = f"{count} floating {part} with {share_text(share, 1)} of the surface left out"
    return f"{said}; the largest part is the limb." if kept == "largest" else f"{said}."


def no_end(count: int) -> str:
    """A file whose last line does not end."""
    return "The file does not end with a line break: it may be cut off; see that the limb is whole."


def no_faces(count: int) -> str:
    """A file of points alone."""
    return f"The file holds {_some(count, 'points')} and no faces: read as a point cloud."


def non_finite(count: int, faces: int) -> str:
    """Vertices at no place, and the faces at them."""
    return f"{_some(count, 'vertices')} without a position and {_faces(faces)} at them left out."


def other_limbs(count: int, share: float) -> str:
    """The share of a scan that is not the picked limb; one that rounds to nothing is told as what it is."""
    much = share_text(share) if share >= LEAST_SHARE else f"Less than {share_text(LEAST_SHARE)}"
    return f"{much} of the scan, which lies beyond the picked limb, left out."


def spike(count: int, length: float) -> str:
    """Vertices that stood out, and the length (mm) of edge from which they did."""
    return (
        f"{_some(count, 'vertices')} stood out as spikes with edges longer than {length:.0f} mm: faces there left out."
    )


def stray(count: int, of: str) -> str:
    """Places far from all others; `of` is "vertices" with faces, or "points" of a cloud."""
    if of == "points":
        return f"{_some(count, of)} stood far from all others and {_were(count)} left out."
    return f"{_some(count, of)} lay far away from all others and {_were(count)} left out, faces there too."


def tail(count: int) -> str:
    """Bytes behind the last face."""
    return f"{_some(count, 'bytes')} behind the last face left out."


def turned(count: int) -> str:
    """Faces that looked inward."""
    return f"{_faces(count)} looked inward and {_were(count)} turned."


def unused(count: int, share: float | None) -> str:
    """Vertices of no face, and their share of all where that is a sign."""
    said = f"{_some(count, 'vertices')} that no face uses left out"
    if share is not None:
        said += f", {share_text(share)} of all: a part of the faces may be missing; see that the limb is whole"
    return f"{said}."


def welded(count: int, within: float) -> str:
    """Vertices nearer to another than so many mm."""
    return (
        f"{_some(count, 'vertices')} lay within {within} mm of another (split charts or loose triangles) and "
        f"{_were(count)} joined."
    )


SENTENCES: dict[str, Sentence] = {
    "scan.archive": archive,
    "scan.colours": colours,
    "scan.columns": columns,
    "scan.comma": comma,
    "scan.degenerate": degenerate,
    "scan.duplicate": duplicate,
    "scan.floor": floor,
    "scan.fragments": fragments,
    "scan.no end": no_end,
    "scan.no faces": no_faces,
    "scan.non-finite": non_finite,
    "scan.other limbs": other_limbs,
    "scan.spike": spike,
    "scan.stray": stray,
    "scan.tail": tail,
    "scan.turned": turned,
    "scan.unused": unused,
    "scan.welded": welded,
}
