"""Files that a browser brings together: received as one body, recognised, and laid on the bench."""

from __future__ import annotations

import asyncio

from starlette.requests import Request

from cli.page.bench import NotKeptError
from cli.page.brought import Brought, recognised
from cli.page.edits import with_limits
from cli.page.seen import Item
from cli.page.session import Session
from cli.page.upload import MOST_HEAD_BYTES, MOST_SCAN_BYTES, parts_of, receive_file
from flatten.findings import message
from flatten.job.settings import Job, ScanSettings
from flatten.words.say import text

MOST_NAMED = 3
"""Files that are not needed and are named; more are counted."""


async def _arrive(request: Request, session: Session) -> None:
    """Keep what arrives as one body where scans arrive, and tell how far it has come.

    Raises as `receive_file` does, and NotKeptError where there is no room for it.
    """
    announced = int(request.headers.get("content-length", "0"))
    shown = 0

    def progress(so_far: int) -> None:
        nonlocal shown
        if so_far - shown > max(announced // 50, 2**18):
            shown = so_far
            session.receive(so_far, announced)

    try:
        await receive_file(request, session.folder.arriving, most=MOST_SCAN_BYTES + MOST_HEAD_BYTES, progress=progress)
    except OSError as error:
        raise NotKeptError(error) from None
    finally:
        session.stop_receiving()


async def received(request: Request, session: Session) -> Brought:
    """What arrives as one body.

    Raises as `receive_file`, `parts_of` and `recognised` do, and NotKeptError where there is no room for it.
    """
    parts = await parts_received(request, session)
    return await asyncio.to_thread(lambda: recognised([Item(name, part) for name, part in parts]))


async def parts_received(request: Request, session: Session) -> list[tuple[str, bytes]]:
    """Names and contents of the files that arrive as one body.

    Raises as `receive_file` and `parts_of` do, and NotKeptError where there is no room for it.
    """
    await _arrive(request, session)
    path = session.folder.arriving
    data = await asyncio.to_thread(path.read_bytes)
    path.unlink()
    return parts_of(data)


def lay(session: Session, found: Brought) -> None:
    """Let what was brought be laid on the bench: a scan with its job and its strips, several scans as a job each, or a
    job or strips alone for what lies there.

    Raises NotKeptError where there is no room for a scan, and else as the session's own ways of taking these do.
    """
    strips = None if found.strips is None else (found.strips.name, found.strips.text)
    beside = [(place, item.name, item.data) for place, item in found.companions]
    if not found.scans:
        if found.job is not None:
            session.take_job(found.job, beside)
        if strips is not None:
            session.take_text(strips[1], sent_name=strips[0])
        return
    if len(found.scans) > 1:
        jobs = [session.job_for(scan.name) for scan in found.scans]
        if strips is not None:
            jobs = [with_limits(job, strips[0]) for job in jobs]
        session.bring_scans(zip(jobs, [scan.data for scan in found.scans], strict=True), strips=strips)
        return
    (scan,) = found.scans
    try:
        session.folder.arriving.write_bytes(scan.data)
    except OSError as error:
        raise NotKeptError(error) from None
    if found.job is not None:
        session.bring_scan(found.job, strips=strips, companions=beside)
    elif strips is not None:
        session.bring_scan(with_limits(Job(scan=ScanSettings(file=scan.name)), strips[0]), strips=strips)
    else:
        session.take_scan(scan.name)


def told(found: Brought) -> str:
    """What is told of what was brought: that several scans are several jobs, and what is not used; "" where nothing."""
    several = [text(message("page.several scans", number=len(found.scans)))] if len(found.scans) > 1 else []
    return " ".join([*several, *_not_used(found)])


def _not_used(found: Brought) -> list[str]:
    """A sentence that names what was brought and is not used; none where all is."""
    names = found.unneeded
    if not names:
        return []
    more = max(0, len(names) - MOST_NAMED)
    return [text(message("page.unneeded", files=names[:MOST_NAMED], more=more))]
