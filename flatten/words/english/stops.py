"""What stands against cutting, in English, a few words each: what is wrong, and what settles it.

Both stand within a sentence, so without a capital and a full stop; the finding's own sentence tells the rest.
"""

from __future__ import annotations

from math import degrees

from flatten.units import share_text
from flatten.words.english.amounts import capital, mm
from flatten.words.english.places import named
from flatten.words.english.tape import place
from flatten.words.language import Sentence, StopWords, fixed


def stopped(count: int) -> str:
    """The heading over a job that is not to be cut."""
    if count == 1:
        return "Not to be cut as it is: one thing stands against it."
    return f"Not to be cut as it is: {count} things stand against it, the gravest first."


def stop(wrong: str, settled: str) -> str:
    """One thing that stands against cutting, and what settles it."""
    return f"{capital(wrong)}: {settled}."


def sure(wrong: str) -> str:
    """A thing that the maker has settled knowingly."""
    return f"You said that you are sure: {wrong}."


def leather(said: str) -> str:
    """What is said of the leather where something else stands against cutting it."""
    return f"As far as the leather goes, {said[:1].lower()}{said[1:]}"


def idle(key: str, given: str) -> str:
    """A figure in the job file's [sure] that settles nothing."""
    return f"“{key} = {given}” under [sure] settles nothing that is in doubt; take it out of the job file."


def moved(key: str, given: str, now: str) -> str:
    """A figure in the job file's [sure] that is no longer the one that was looked at."""
    return f"You were sure of “{key} = {given}”; it is {now} now, so look at it again."


def not_followed(at: str | float, size: float, unit: str, unit_from: str, slips: tuple[str, ...]) -> tuple[str, str]:
    """A tape that asks for more than any scan has been off by."""
    return (
        f"by the tape at {place(at)} the limb is {size:.3g} times as large as its scan{_perhaps(slips)}",
        "correct the girth, or the scan’s unit",
    )


def size_in_doubt(
    at: str | float, size: float, sigma: float, unit: str, unit_from: str, slips: tuple[str, ...]
) -> tuple[str, str]:
    """A tape by which the scan is so many times as large as by its unit, which is known."""
    return (
        f"by the tape at {place(at)} the limb is {size:.2f} times as large as its scan{_perhaps(slips)}",
        "measure again, and a second girth",
    )


def contradict(
    apart: float, sigma: float, kept: tuple[str, ...], doubted: tuple[str, ...], why: str, slips: tuple[str, ...]
) -> tuple[str, str]:
    """Tapes that cannot all be true."""
    one = doubted[0] if kept and len(doubted) == 1 else None
    where = f"the tape at {one} cannot be true beside the others" if one else "the tapes cannot all be true"
    return f"{where}{_perhaps(slips)}", "measure each again"


def _perhaps(slips: tuple[str, ...]) -> str:
    return f" ({slips[0]}?)" if slips else ""


def no_such_size(
    landmark_or_widest: str, kind: str, girth: float, least: float, most: float, size: float
) -> tuple[str, str]:
    """A girth that nobody has."""
    return (
        f"{named(f'a.{kind}')} of {girth:.0f} mm at {place(landmark_or_widest)} is nobody’s",
        "check the unit of the scan, and measure by tape",
    )


_SHOWN_BY = {"foot": "its foot", "hand": "its thumb and palm"}


def side_against(seen: str, side: str, other: str) -> tuple[str, str]:
    """A foot or hand of the other side."""
    return (
        f"by {_SHOWN_BY[seen]} the scan shows a {named(other)} limb, {named(side)} was named",
        f"name the {named(other)} side, and cut the pair mirrored where the app mirrors",
    )


def kind_against(limb: str, shown: str) -> tuple[str, str]:
    """Another limb than the one that was named."""
    return f"the limb was named '{limb}', and its scan speaks against that", "name another limb, or scan more of it"


def front_elsewhere(turn: float, seen: str) -> tuple[str, str]:
    """A given front that lies `turn` rad away from where a foot or hand puts it."""
    return (
        f"the front that was given lies {degrees(turn):.0f}° round the limb from where the {named(seen)} puts it",
        "point at it again, or have it found (“auto”)",
    )


def unseen(share: float, bare: bool, where: str, off: float) -> tuple[str, str]:
    """So much of the limb is bridged that its pattern hangs on it."""
    return f"the scan shows nothing of {share_text(share)} of the limb, most {where}", "scan it again, all round"


def unseen_edge(edge: str, length: float, where: str, off: float, sigma: float) -> tuple[str, str]:
    """An edge over a place that the scan does not show."""
    return (
        f"the {named(edge)} runs for {mm(length)} over what the scan does not show, {where}",
        "scan that place again, or move the edge",
    )


def unequal(seam: str, ease: float, length: float) -> tuple[str, str]:
    """A seam whose sides cannot meet."""
    return (
        f"the two sides of the seam “{named(seam)}” differ by {mm(ease)} in length and cannot meet",
        "move the seam, or the edges beside it",
    )


def overlaps(piece: str) -> tuple[str, str]:
    """A flat piece that lies over itself."""
    return f"the piece “{piece}” lies over itself when flat", "add a seam, or move an edge"


def closed(far_end: str) -> tuple[str, str]:
    """Pieces that no seam lets on."""
    return f"it does not go on over the {named(far_end)}", "lace or strap one of its seams"


def too_stiff(where: str, opens: float, needs: float, gap: float | None) -> tuple[str, str]:
    """Hardened leather that does not go on."""
    remedy = "add a second laced seam"
    if gap is not None:
        remedy = f"draw a lacing gap of {mm(gap)}, or {remedy}"
    return f"hardened, it opens to {mm(opens)} only where the limb needs {mm(needs)}, {where}", remedy


_TENDER = {
    "fibula": ("the top edge lies on the nerve at the outer side just below the knee", "lower it there"),
    "knee hollow": ("an edge lies in the hollow of the knee", "move it out of there"),
    "crook of the elbow": ("the top edge lies in the crook of the elbow", "lower it there"),
}


def near(tender: str) -> tuple[str, str]:
    """An edge on a tender place."""
    return _TENDER[tender]


def too_tight(piece: str | None, where: str, radius: float, thicknesses: float, takes: float) -> tuple[str, str]:
    """A bend that is too sharp for the leather."""
    of_piece = "" if piece is None else f" of “{piece}”"
    return (
        f"the leather{of_piece} bends to {thicknesses:.1f} times its thickness {where}, where its grain cracks",
        f"use leather thinner than {takes:.1f} mm, or skive it to that there",
    )


def over_limits(piece: str | None, verdict: str) -> tuple[str, str]:
    """Leather that is asked for more than it takes."""
    of_piece = "" if piece is None else f" of “{piece}”"
    if verdict == "cased":
        return f"the leather{of_piece} cannot follow dry, as the job asks", 'form it cased (wet), limits = "cased"'
    if verdict == "hard":
        return (
            f"the shape{of_piece} lies beyond the leather’s limits, and only a former and clamps may reach it",
            "move an edge, or open it at one more seam",
        )
    return (
        f"the leather{of_piece} cannot be expected to take the shape",
        "move an edge, or open it at one more seam",
    )


SENTENCES: dict[str, Sentence] = {
    "verdict.stopped": stopped,
    "verdict.stop": stop,
    "verdict.leather": leather,
    "verdict.sure": sure,
    "verdict.sure lines": fixed(
        "Where you have looked at one of these and are sure all the same, its line in the job file settles it, under "
        "[sure]:"
    ),
    "sure.idle": idle,
    "sure.moved": moved,
}

STOPS: dict[str, StopWords] = {
    "limb.kind against": kind_against,
    "limb.side against": side_against,
    "tape.not followed": not_followed,
    "tape.size in doubt": size_in_doubt,
    "tape.contradict": contradict,
    "tape.no such size": no_such_size,
    "limb.front elsewhere": front_elsewhere,
    "limb.unseen": unseen,
    "edge.unseen": unseen_edge,
    "seam.unequal": unequal,
    "report.overlaps": overlaps,
    "wearing.closed": closed,
    "wearing.too stiff": too_stiff,
    "wearing.near": near,
    "leather.too tight": too_tight,
    "leather.over limits": over_limits,
}
"""By the code of a finding that may be a stop: a function of its figures."""
