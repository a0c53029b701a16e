"""`calfskin finished JOB`: what a finished piece measured, kept beside what was foretold, and what that teaches."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, cast

import click

from cli.files import write_files
from flatten.findings import message
from flatten.limb.kind import KINDS
from flatten.record.foretold import ForetoldPiece, ForetoldRing, foretold_of
from flatten.record.messages import all_records, learned_messages, line_messages
from flatten.record.records import (
    ENDING,
    Recorded,
    RecordedLine,
    RecordedRing,
    RecordError,
    is_suspicious,
    jobs_of,
    learned_of,
    read_girth,
    read_line,
    read_records,
    record_files,
    records_from,
    with_record,
)
from flatten.units import UnitError, length
from flatten.words import say

SIDES = ("left", "right")
TAPED = ("inside", "outside")

LONGEST = 40
"""Letters of a date at most: the longest month's name, day, year, and a time."""


@dataclass
class Answers:
    """What the maker gave so far: texts by the command's own options, so that an interrupted run can go on."""

    job: Path
    out: Path | None
    side: str | None
    taped: str | None
    closed: str | None
    date: str | None
    sure: bool
    line: str | None = None
    cracked: bool = False
    girths: dict[str, str] = field(default_factory=dict)

    @property
    def command(self) -> str:
        """The line that gives the same again."""
        words = ["calfskin", "finished", str(self.job)]
        given = (("--out", self.out), ("--side", self.side), ("--taped", self.taped), ("--gap", self.closed))
        for name, value in (*given, ("--date", self.date)):
            words += [] if value is None else [name, str(value)]
        for place, girth in self.girths.items():
            words += ["--girth", f"{place}={girth}"]
        words += [] if self.line is None else ["--line", self.line]
        words += ["--cracked"] if self.cracked else []
        words += ["--sure"] if self.sure else []
        words += ["--ask"] if self.girths or self.line else []
        return shlex.join(words)


def _girths(ctx: click.Context, param: click.Parameter, value: tuple[str, ...]) -> dict[str, str]:
    """Girths by their places, "widest" where none stands in front."""
    parts = [entry.rpartition("=") for entry in value]
    places = [place or "widest" for place, _, _ in parts]
    twice = next((place for place in places if places.count(place) > 1), None)
    if twice is not None:
        raise click.BadParameter(f"'{twice}' is given twice; leave one out")
    return {place or "widest": girth for place, _, girth in parts}


@click.command()
@click.argument("job", type=click.Path(path_type=Path), required=False)
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), help="Folder of the job's files, as for make.")
@click.option(
    "--girth",
    "girths",
    metavar="PLACE=GIRTH",
    multiple=True,
    callback=_girths,
    help="What was measured, once for each place: 'widest=391 mm', 'top=402 mm', '120 mm=310 mm' (height). Nothing is "
    "asked then.",
)
@click.option("--side", type=click.Choice(SIDES), help="Which piece of a pair was measured.")
@click.option("--taped", type=click.Choice(TAPED), help="Whether the tape lay inside, as usual, or outside.")
@click.option(
    "--gap", "closed", metavar="LENGTH", help="All gaps together when it was measured; as drawn where not said."
)
@click.option("--date", metavar="TEXT", help="When, as you write it; none is put in by itself.")
@click.option("--sure", is_flag=True, help="Take girths that are more than 15 % off what was foretold.")
@click.option("--line", metavar="LENGTH", help="What the line drawn on the flat leather became.")
@click.option("--cracked", is_flag=True, help="The leather cracked at that line.")
@click.option("--ask", is_flag=True, help="Ask for what is not given by --girth.")
@click.option(
    "--records",
    type=click.Path(path_type=Path),
    multiple=True,
    help="Records to learn from: files or folders. Without it, all beside the job file and in folders below it.",
)
def finished(
    job: Path | None,
    out: Path | None,
    girths: dict[str, str],
    side: str | None,
    taped: str | None,
    closed: str | None,
    date: str | None,
    sure: bool,
    line: str | None,
    cracked: bool,
    ask: bool,
    records: tuple[Path, ...],
) -> int:
    """Keep what a finished piece of JOB measured beside what was foretold, and tell what your pieces teach.

    Asks for the girth at each ring and adds the answers to JOB.finished.toml beside the job file, a text of your own.
    Without JOB nothing is asked: it tells what all records in this folder and below it teach.

    From three jobs on, where they agree, it offers a correction for the next job file. It applies nowhere by itself,
    and never changes what the leather is taken to bear.
    """
    if cracked and line is None:
        raise click.UsageError("--cracked tells of a line: give what it became, --line")
    if job is not None:
        answers = Answers(job, out, side, taped, closed, date, sure, line, cracked, dict(girths))
        _record(answers, asking=ask or not (girths or line))
    elif girths or line:
        raise click.UsageError("girths belong to a job: calfskin finished JOB --girth ...")
    _tell(records or ((Path() if job is None else job.parent),))
    return 0


def _record(answers: Answers, *, asking: bool) -> None:
    """One more record at the end of the job's own; nothing is written before all is answered."""
    job = answers.job
    pieces = foretold_of(job, out=answers.out or job.with_suffix(""))
    target = job.with_name(f"{job.stem}{ENDING}")
    before = read_records(target)
    try:
        piece = _side(pieces, answers, asking=asking)
        record = _asked(piece, answers) if asking else _given(piece, answers)
    except click.exceptions.Abort:
        click.echo()
        click.echo(say.text(message("finished.go on", command=answers.command)))
        raise
    if record is None:
        click.echo(say.text(message("finished.no girths")))
        return
    head = say.text(message("finished.head", job=job.name))
    text = with_record(target.read_text("utf-8") if target.exists() else "", record, head=head)
    records_from(text, name=target.name)
    write_files(target.parent, [(target.name, text.encode())])
    click.echo(say.text(message("finished.kept", file=str(target), rings=len(record.ring), count=len(before) + 1)))


def _side(pieces: Sequence[ForetoldPiece], answers: Answers, *, asking: bool) -> ForetoldPiece:
    sides = [piece.side for piece in pieces]
    if answers.side is None:
        if len(pieces) == 1:
            return pieces[0]
        if not asking:
            raise RecordError("the job is for a pair; say which piece you measured: --side left or --side right")
        answers.side = click.prompt(say.text(message("finished.ask side")), type=click.Choice(sides))
    if answers.side not in sides:
        raise RecordError(f"the job has no piece for the {answers.side}, only for the {sides[0]}")
    return pieces[sides.index(answers.side)]


def _asked(piece: ForetoldPiece, answers: Answers) -> Recorded | None:
    """What the maker answers; None where no girth was measured."""
    zero = KINDS[piece.kind].zero_name
    click.echo(say.text(message("finished.piece", job=piece.job, side=piece.side)))
    if answers.taped is None:
        words = say.text(message("finished.ask taped"))
        answers.taped = click.prompt(words, type=click.Choice(TAPED), default=TAPED[0])
    how = message("finished.how", taped=answers.taped, gaps=piece.gaps)
    click.echo(f"{say.text(how)} {say.text(message('finished.skip'))}")
    for ring in piece.asked:
        if ring.name in answers.girths:
            continue
        foretold = _foretold(ring, answers)
        ask = say.text(message("finished.ask ring", ring=ring.name, zero=zero, height=ring.height, foretold=foretold))
        while True:
            text = click.prompt(ask, default="", show_default=False).strip()
            if not text:
                break
            try:
                girth = read_girth(text, foretold=foretold)
            except RecordError as error:
                click.echo(f"  {error}")
                continue
            far = is_suspicious(girth, foretold=foretold)
            if not far or click.confirm(f"  {say.text(message('finished.doubt', girth=girth, foretold=foretold))}"):
                answers.girths[ring.name] = text
                answers.sure |= far
                break
    _ask_line(piece, answers)
    if not answers.girths and answers.line is None:
        return None
    if answers.girths and piece.gaps and answers.closed is None:
        _ask_closed(piece, answers)
    if answers.date is None:
        answers.date = click.prompt(say.text(message("finished.ask date")), default="", show_default=False).strip()
    return _given(piece, answers)


def _ask_line(piece: ForetoldPiece, answers: Answers) -> None:
    line, kind = piece.line, KINDS[piece.kind]
    if line is None or answers.line is not None:
        return
    ask = message(
        "finished.ask line",
        length=line.length,
        zero=kind.zero_name,
        height=line.height,
        side=kind.side_at(line.bearing),
        foretold=line.foretold,
    )
    while text := click.prompt(say.text(ask), default="", show_default=False).strip():
        try:
            read_line(text, foretold=line.foretold)
        except RecordError as error:
            click.echo(f"  {error}")
            continue
        answers.line = text
        answers.cracked = click.confirm(say.text(message("finished.ask cracked")))
        return


def _ask_closed(piece: ForetoldPiece, answers: Answers) -> None:
    while True:
        words = say.text(message("finished.ask closed", gaps=piece.gaps))
        text = click.prompt(words, default=f"{piece.gaps:g} mm", show_default=False)
        try:
            _closed(piece, text)
        except RecordError as error:
            click.echo(f"  {error}")
            continue
        answers.closed = text
        return


def _given(piece: ForetoldPiece, answers: Answers) -> Recorded:
    """The record of what was given. Raises RecordError where something of it makes no sense."""
    rings = []
    for place, text in answers.girths.items():
        ring = piece.ring(place)
        foretold = _foretold(ring, answers)
        girth = read_girth(text, foretold=foretold)
        if is_suspicious(girth, foretold=foretold) and not answers.sure:
            raise RecordError(
                f"{place}: {girth:.0f} mm is {100 * (girth / foretold - 1):+.0f} % off the {foretold:.0f} mm foretold; "
                "measure again, or say --sure"
            )
        rings.append(
            RecordedRing(
                at=place,
                height=round(ring.height, 1),
                drawn=round(ring.drawn, 1),
                foretold=round(ring.foretold, 1),
                measured=round(girth, 1),
                leather=round(foretold - ring.foretold, 1),
            )
        )
    line = None
    if answers.line is not None:
        if piece.line is None:
            raise RecordError("no line was foretold for this job: its pieces hold none")
        line = RecordedLine(
            length=piece.line.length,
            stretch=round(piece.line.stretch, 4),
            foretold=round(piece.line.foretold, 1),
            measured=round(read_line(answers.line, foretold=piece.line.foretold), 1),
            cracked=answers.cracked,
        )
    if answers.date is not None and len(answers.date) > LONGEST:
        raise RecordError(f"'{answers.date}' is no date; write it with {LONGEST} letters at most")
    return Recorded(
        job=piece.job,
        making=piece.making,
        side=cast(Literal["left", "right"], piece.side),
        date=answers.date or "",
        thickness=piece.thickness,
        correction=piece.correction,
        taped="outside" if answers.taped == "outside" else "inside",
        gaps=round(piece.gaps, 1),
        closed=round(piece.gaps if answers.closed is None else _closed(piece, answers.closed), 1),
        ring=tuple(rings),
        line=line,
    )


def _foretold(ring: ForetoldRing, answers: Answers) -> float:
    return ring.outside if answers.taped == "outside" else ring.foretold


def _closed(piece: ForetoldPiece, text: str) -> float:
    try:
        closed = length(text)
    except UnitError as error:
        raise RecordError(str(error)) from None
    if not 0.0 <= closed <= 200.0 or (closed and not piece.gaps):
        wanted = "0 to 200 mm" if piece.gaps else "0 mm: this piece is drawn without a gap"
        raise RecordError(f"'{text}' is no sum of gaps; it must be {wanted}")
    return closed


def _tell(places: Sequence[Path]) -> None:
    """What all records teach, those that count first."""
    files = [(path, read_records(path)) for path in record_files(places)]
    here = Path().resolve()
    named = [(str(path.relative_to(here) if path.is_relative_to(here) else path), own) for path, own in files]
    lines = line_messages([record for _, own in named for record in own])
    for each in (*all_records(named), *learned_messages(learned_of(jobs_of(named))), *lines):
        click.echo(say.text(each))
