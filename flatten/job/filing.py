"""The files that a job's pieces are cut and printed from: pattern, mock-up, former, layout, the record of a fitting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from flatten.drawing.cover import Mockup
from flatten.drawing.files import Files, mockup_files, pattern_files
from flatten.drawing.formers import former_files
from flatten.drawing.layouts import layout_files
from flatten.drawing.model import DxfVersion
from flatten.drawing.ornaments import field_files, tooling_files
from flatten.job.ornament_sheets import field_sheets, tooling_sheets
from flatten.job.settings import Job
from flatten.pattern.model import Piece
from flatten.report.fittingrecord import fitting_record
from flatten.report.messages import zero_message
from flatten.report.mockup import MOST_ON_SHEET, unclosed_messages
from flatten.report.model import JobReport
from flatten.report.verdict import verdict_of
from flatten.sheet.tiles import Sheets, sheets_of
from flatten.words import say
from flatten.words.language import Language


def files_of(report: JobReport, job: Job, *, language: Language) -> Files:
    """All files of what a report tells of, as its job asks for them, in the order in which they are written.

    Raises PaperError where a page would be too large, KerfError where something is too narrow for the kerf.
    """
    # What is judged later is advice: it opens and closes no stop, so that files that are there already stay true.
    stopped = not verdict_of(report).may_be_cut
    title, first = report.job, report.limbs[0]
    zero = say.text(zero_message(first.limb, first.girths), language)
    printing, dxf, kerf = job.output.printing, job.output.dxf, job.output.kerf.kerf
    sheets = sheets_of(report.cut, printing)
    files = pattern_files(
        report.cut, title, sheets=sheets, dxf=dxf, kerf=kerf, stopped=stopped, zero=zero, language=language
    )
    tried = _mockup_pieces(report)
    # A sheet's letter occurs once in the whole job, whatever file it is in.
    more = sheets_of(tried, printing, first=len(sheets.tilings))
    files = (*files, *_mockup_files(report, tried, sheets=more, dxf=dxf, zero=zero, language=language))
    used = len(sheets.tilings) + len(more.tilings)
    adorned = ornament_files(report, job, first=used, stopped=stopped, language=language)
    files, used = (*files, *adorned.files), used + adorned.sheets
    files += former_files(report.formers, title, printing=printing, first=used, dxf=dxf, zero=zero, language=language)
    files += layout_files(report.laying, title, dxf=dxf, kerf=kerf, stopped=stopped, language=language)
    if job.output.fitting_record:
        files = (*files, ("fitting.pdf", fitting_record(report, paper=job.output.paper, language=language)))
    return files


@dataclass(frozen=True)
class OrnamentFiles:
    """The files of ornament, and how many sets of sheets, each with a letter of its own, they have."""

    files: Files
    sheets: int


def ornament_files(
    report: JobReport, job: Job, *, first: int, stopped: bool, language: Language, fields: bool | None = None
) -> OrnamentFiles:
    """The files of a job's ornament: those of its `fields` where the job asks for them (None) or they are wanted
    anyway, and those of what is carved. The letters of their sheets go on from the `first`, which counts from 0.

    Raises PaperError where a page would be too large.
    """
    printing, title = job.output.printing, report.job
    drawn = field_sheets(report, language=language) if (job.ornament.sheet if fields is None else fields) else ()
    free = sheets_of(drawn, printing, first=first)
    carved = sheets_of(tooling_sheets(report, language=language), printing, first=first + len(free.tilings))
    return OrnamentFiles(
        (
            *field_files(drawn, title, laid=free, paired=any(one.mirrored for one in report.limbs), language=language),
            *tooling_files(title, laid=carved, stopped=stopped, language=language),
        ),
        len(free.tilings) + len(carved.tilings),
    )


def _mockup_pieces(report: JobReport) -> tuple[Piece, ...]:
    """The pieces of the mock-ups of all limbs, none where a job has none."""
    mockups = [limb.mockup for limb in report.limbs if limb.mockup]
    return tuple(piece for mockup in mockups for piece in (*mockup.pieces, *mockup.mirrored))


def _mockup_files(
    report: JobReport, pieces: Sequence[Piece], *, sheets: Sheets, dxf: DxfVersion, zero: str, language: Language
) -> Files:
    """The files of a job's mock-up, none where it has none: its pieces, and where they cannot close."""
    first = report.limbs[0].mockup
    if first is None:
        return ()
    told = tuple(unclosed_messages(first, most=MOST_ON_SHEET))
    mockup = Mockup(first.sheet, first.thickness, told)
    return mockup_files(pieces, report.job, mockup=mockup, sheets=sheets, dxf=dxf, zero=zero, language=language)
