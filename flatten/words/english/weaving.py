"""What stands against weaving and carving a drawing, in English."""

from __future__ import annotations

from flatten.words.language import Sentence


def on_piece(x: float, y: float) -> str:
    """A place of a piece, from its middle line and its lower end; mm."""
    across = "on the middle" if abs(x) < 0.5 else f"{abs(x):.0f} mm {'right' if x > 0.0 else 'left'} of the middle"
    return f"{across}, {y:.0f} mm up".replace("-", "−")


def _at(x: float, y: float) -> str:
    return f"On the piece, {on_piece(x, y)}:"


def triple(x: float, y: float) -> str:
    """Three strands in one point."""
    return f"{_at(x, y)} three strands pass through one point; move one of them aside, so that only two cross."


def touch(x: float, y: float) -> str:
    """A touch without a crossing."""
    return f"{_at(x, y)} strands touch without crossing; draw them apart, or let them cross twice."


def overlap(x: float, y: float, length: float) -> str:
    """Strands one on another."""
    return f"{_at(x, y)} one strand lies on another for {length:.1f} mm; move one of them aside."


def end(x: float, y: float) -> str:
    """An open end in the field."""
    return f"{_at(x, y)} a strand ends inside the field; draw it on to the rim, or join it with another end."


def odd(x: float, y: float) -> str:
    """No even number of crossings round a loop."""
    return (
        f"{_at(x, y)} over and under cannot alternate, as a strand ends inside a loop of another; draw it on across "
        "the loop, or back out of it."
    )


def flat(x: float, y: float, width: float) -> str:
    """A crossing that is too flat."""
    return (
        f"{_at(x, y)} strands cross too flat for bands {width:g} mm wide; cross them more square, or take less width."
    )


def near(x: float, y: float, width: float) -> str:
    """Strands that are too near."""
    return (
        f"{_at(x, y)} bands {width:g} mm wide lie on each other where they do not cross, or their crossings run into "
        "each other; draw the strands further apart, or the bands narrower."
    )


def tight(x: float, y: float, width: float) -> str:
    """A bend that is too tight."""
    return f"{_at(x, y)} a strand bends too tightly for a band {width:g} mm wide; widen the bend, or narrow the band."


def drawn_on(x: float, y: float) -> str:
    """An end that was drawn on."""
    return f"{_at(x, y)} the strand that ended there is drawn on straight to the rim."


def joined(x: float, y: float) -> str:
    """Two ends that were joined."""
    return f"{_at(x, y)} the strand that ended there is joined with the nearest other end."


def aside(x: float, y: float, aside: float) -> str:
    """A strand that was moved aside."""
    return f"{_at(x, y)} one strand swerves by {aside:g} mm."


def cut(x: float, y: float) -> str:
    """Strands that were cut at the rim."""
    return f"{_at(x, y)} over and under could not alternate; what lies outside the field is cut off."


SENTENCES: dict[str, Sentence] = {
    "weave.place": on_piece,
    "weave.triple": triple,
    "weave.touch": touch,
    "weave.overlap": overlap,
    "weave.end": end,
    "weave.odd": odd,
    "weave.flat": flat,
    "weave.near": near,
    "weave.tight": tight,
    "mend.drawn on": drawn_on,
    "mend.joined": joined,
    "mend.aside": aside,
    "mend.cut": cut,
}
