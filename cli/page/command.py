"""`calfskin page`: the bench in the browser, on this computer alone."""

from __future__ import annotations

import contextlib
import gc
import socket
import webbrowser
from pathlib import Path

import click
import uvicorn

from cli.page.access import ADDRESS, LIFETIME, AccessGuard
from cli.page.app import page_app
from cli.page.enter import on_enter
from cli.page.folder import Folder, usual_folder
from cli.page.session import Session
from flatten.findings import message
from flatten.words.say import text

PATIENCE_AT_END = 1
"""s. So long an open stream of events may hold up the end."""


class _Server(uvicorn.Server):
    def __init__(self, config: uvicorn.Config, session: Session, *, guard: AccessGuard, browser: bool) -> None:
        super().__init__(config)
        self._session, self._guard, self._browser = session, guard, browser

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        address = self._guard.opening_address()
        minutes = f"{LIFETIME / 60:.0f}"
        click.echo(text(message("page.open", address=address, minutes=minutes)))
        if self._browser:
            webbrowser.open(address)
        on_enter(self._tell_another)

    def _tell_another(self) -> None:
        click.echo(text(message("page.another", address=self._guard.opening_address())))

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        self._session.end_events()
        await super().shutdown(sockets)


@click.command()
@click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    help="Where the scan and the job are kept until you delete them; by default in your own data folder.",
)
@click.option("--no-browser", is_flag=True, help="Print the address, and let me open it.")
def page(folder: Path | None, no_browser: bool) -> None:
    """Open the bench in the browser: drop a scan, see the limb, set the seam, see the leather, take the files.

    It is served by this computer to this computer alone, and nothing is sent anywhere. A scan is body data: it stays
    in the folder until you clear the bench, and the page says where that is.
    """
    kept = Folder((folder or usual_folder()).absolute())
    with kept.locked(), listening() as listener:
        session = Session(kept)
        gc.freeze()  # what is loaded stays, and is no longer looked through for garbage while somebody waits
        guard = AccessGuard(page_app(session), port=listener.getsockname()[1])
        config = uvicorn.Config(
            guard, log_level="warning", timeout_graceful_shutdown=PATIENCE_AT_END, server_header=False, lifespan="on"
        )
        with contextlib.suppress(KeyboardInterrupt):
            _Server(config, session, guard=guard, browser=not no_browser).run(sockets=[listener])
    click.echo(
        text(message("page.closed") if kept.is_empty else message("page.closed and kept", folder=str(kept.path)))
    )


def listening() -> socket.socket:
    """A socket at a free port of this computer's own address."""
    # With its protocol named, asyncio sends every part of an answer at once; else the last one waits for 40 ms.
    listener = socket.socket(proto=socket.IPPROTO_TCP)
    listener.bind((ADDRESS, 0))
    return listener
