"""The page's addresses: what lies on the bench, what is done to it, and what is taken away."""

from __future__ import annotations

import asyncio
import contextlib
import io
import json
import math
import zipfile
from collections.abc import AsyncIterator, Callable
from html import escape
from importlib.resources import as_file, files
from pathlib import PurePath
from string import Template
from typing import Any

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response, StreamingResponse
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from cli.page.access import READING_POLICY
from cli.page.advised import advised_panels
from cli.page.arriving import lay, parts_received, received, told
from cli.page.bench import SessionError
from cli.page.companions import companions, kept_companion
from cli.page.lines import curves, grid
from cli.page.palette import PAGE
from cli.page.payload import packed
from cli.page.refusals import OrderError
from cli.page.session import Session
from cli.page.state import page_state, sentence
from cli.page.updates import WornReady
from cli.page.upload import UploadError, receive_text
from flatten.drawing.striptest import strip_test_sheet
from flatten.errors import CalfskinError
from flatten.job.text import job_text
from flatten.report.card import measuring_card
from flatten.report.palette import css_variables
from flatten.sheet.paper import HOME
from flatten.words.say import page_texts

HEARTBEAT = 15.0
"""s. So long without an event, the stream says that it is still there, and finds out whether anybody listens."""

_TYPES = {
    ".dxf": "image/vnd.dxf",
    ".svg": "image/svg+xml",
    ".pdf": "application/pdf",
    ".stl": "model/stl",
    ".html": "text/html; charset=utf-8",
    ".json": "application/json",
    ".toml": "application/toml",
}
"""What the files that may be taken away are, by their endings."""

ALL = "calfskin.zip"


def page_app(session: Session) -> Starlette:
    """The page for one session. It trusts whoever asks: an AccessGuard stands before it."""
    page = _Page(session)
    with as_file(files("cli.page") / "static") as static:
        routes = [
            Route("/", page.front),
            Route("/texts", page.texts),
            Route("/events", page.events),
            Route("/payload/{kind}", page.payload),
            Route("/take/{name}", page.take),
            Route("/read", page.read),
            Route("/bring", page.bring, methods=["POST"]),
            Route("/companion/{key}", page.companion, methods=["POST"]),
            Route("/readings", page.readings, methods=["POST"]),
            Route("/card", page.card),
            Route("/strip-sheet", page.strip_sheet),
            Route("/set", page.change, methods=["POST"]),
            Route("/curves", page.curves, methods=["POST"]),
            Route("/advised/{number}", page.advised),
            Route("/try", page.trial, methods=["POST"]),
            Route("/do/{what}", page.do, methods=["POST"]),
            Route("/static/palette.css", page.palette),
            Mount("/static", StaticFiles(directory=static)),
        ]

    @contextlib.asynccontextmanager
    async def at_work(app: Starlette) -> AsyncIterator[None]:
        task = asyncio.create_task(session.work.run())
        yield
        task.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await task

    return Starlette(routes=routes, lifespan=at_work, exception_handlers={CalfskinError: _refusal})


async def _refusal(request: Request, error: Exception) -> Response:
    """An error that Calfskin raised on purpose is one sentence for the user, with the place in the job that it is
    about: the page says it beside that place's field."""
    status = error.status if isinstance(error, UploadError) else 409 if isinstance(error, SessionError) else 422
    path = list(error.path) if isinstance(error, OrderError) else []
    return JSONResponse({"sentence": sentence(str(error)), "path": path}, status)


class _Html(Template):
    """HTML in which ${keys} stand for texts."""

    braceidpattern = r"[a-z][a-z. ]*"


def front_page() -> str:
    """The page's HTML with its labels in the user's language."""
    texts = {key: escape(text) for key, text in page_texts().items()}
    return _Html((files("cli.page") / "index.html").read_text("utf-8")).substitute(texts)


class _Page:
    def __init__(self, session: Session) -> None:
        self._session = session
        self._arriving = asyncio.Lock()

    async def front(self, request: Request) -> Response:
        return Response(front_page(), media_type="text/html; charset=utf-8")

    async def texts(self, request: Request) -> Response:
        """All that the scripts say, by key."""
        return JSONResponse(dict(page_texts()))

    async def palette(self, request: Request) -> Response:
        return Response(css_variables(PAGE), media_type="text/css")

    async def events(self, request: Request) -> Response:
        return StreamingResponse(self._event_stream(), media_type="text/event-stream")

    async def _event_stream(self) -> AsyncIterator[str]:
        listener = self._session.listen()
        try:
            while not self._session.ended:
                try:
                    await asyncio.wait_for(listener.wait(), HEARTBEAT)
                except TimeoutError:
                    yield ": still here\n\n"
                    continue
                listener.clear()
                yield f"data: {json.dumps(page_state(self._session), allow_nan=False)}\n\n"
        finally:
            self._session.forget(listener)

    async def payload(self, request: Request) -> Response:
        """The payload of a number that a state names; nothing where another has taken its place, which is no fault."""
        current = self._session.state
        kind = request.path_params["kind"]
        if kind not in ("scan", "meant", "worn", "leather", "carved"):
            return PlainTextResponse("there is no such payload\n", 404)
        found = getattr(current, {"meant": "limb", "carved": "made"}.get(kind, kind))
        if found is None or request.url.query != str(current.payloads[kind]):
            return Response(status_code=204)
        own = {"meant": "meant", "carved": "carved"}.get(kind, "payload")
        body = _worn_payload(found) if kind == "worn" else getattr(found, own)
        return Response(body, media_type="application/octet-stream")

    async def bring(self, request: Request) -> Response:
        """Files that were brought together, and what is told of them."""
        if self._arriving.locked():
            raise SessionError("a scan is arriving already; wait for it")
        async with self._arriving:
            found = await received(request, self._session)
            lay(self._session, found)
        return JSONResponse({"state": page_state(self._session), "told": told(found)})

    async def companion(self, request: Request) -> Response:
        """A file that was brought for a place of the job, such as a motif's drawing."""
        if self._arriving.locked():
            raise SessionError("something is arriving already; wait for it")
        async with self._arriving:
            (name, data), *more = await parts_received(request, self._session)
            if more:
                raise SessionError("one file is wanted here; bring it alone")
            path = tuple(int(part) if part.isdecimal() else part for part in request.path_params["key"].split("."))
            self._session.take_companion(path, sent_name=name, data=data)
        return self._state()

    async def change(self, request: Request) -> Response:
        self._session.change(_changes(await receive_text(request)))
        return self._state()

    async def readings(self, request: Request) -> Response:
        """The readings of strips that were typed in."""
        self._session.take_readings(_json(await receive_text(request)))
        return self._state()

    async def card(self, request: Request) -> Response:
        """The page that tells somebody far away how to measure and scan a limb."""
        return _attachment("measuring-card.pdf", measuring_card(paper=self._home_paper()), _TYPES[".pdf"])

    async def strip_sheet(self, request: Request) -> Response:
        """The page that tells how strips are cut, loaded and read."""
        return _attachment("strip-test.pdf", strip_test_sheet(paper=self._home_paper()), _TYPES[".pdf"])

    def _home_paper(self) -> str:
        """The job's paper where it is one of those that come with a printer at home, else A4."""
        job = self._session.state.job
        return job.output.paper if job is not None and job.output.paper in HOME else "A4"

    async def curves(self, request: Request) -> Response:
        """The curves that a change would make, without making it: asked for while a point is dragged."""
        job = self._session.with_changes(_changes(await receive_text(request)))
        return JSONResponse(curves(self._session.state, job))

    async def advised(self, request: Request) -> Response:
        """What a piece of advice would make of the leather and its lines, looked at before it is taken."""
        advice = self._session.advice(_number(request.path_params["number"]))
        current = self._session.state
        return JSONResponse({"panels": advised_panels(current, advice), "curves": curves(current, advice.job)})

    async def trial(self, request: Request) -> Response:
        """The leather that a change would make, coarse, without making it; nothing where something newer came first."""
        payload = await self._session.tried(_changes(await receive_text(request)))
        if payload is None:
            return Response(status_code=204)
        return Response(payload, media_type="application/octet-stream")

    async def do(self, request: Request) -> Response:
        session = self._session
        actions: dict[str, Callable[[], None]] = {
            "demo": session.take_demo,
            "add-seam": session.add_seam,
            "remove-seam": lambda: session.remove_seam(_number(request.query_params.get("seam", ""))),
            "add-dart": lambda: session.add_dart(*_place(request)),
            "remove-dart": lambda: session.remove_dart(_number(request.query_params.get("dart", ""))),
            "tell-edge": lambda: session.tell_edge(_edge(request), request.query_params.get("way", "")),
            "add-edge-point": lambda: session.add_edge_point(_edge(request), *_place(request)),
            "remove-edge-point": lambda: session.remove_edge_point(
                _edge(request), _number(request.query_params.get("point", ""))
            ),
            "use-advice": lambda: session.use_advice(_number(request.query_params.get("advice", ""))),
            "give-back-advice": session.give_back_advice,
            "be-sure": lambda: session.be_sure(*_figure(request)),
            "be-unsure": lambda: session.be_unsure(*_figure(request)),
            "undo": session.undo,
            "redo": session.redo,
            "agree-front": session.agree_front,
            "stop": session.stop,
            "go-on": session.go_on,
            "clear": session.clear,
            "clear-all": session.clear_all,
            "put-back": session.put_back,
            "open-kept": lambda: session.open(request.query_params.get("job")),
            "delete-kept": lambda: session.put_away(request.query_params.get("job")),
            "name-kept": lambda: session.rename(request.query_params.get("job"), request.query_params.get("name", "")),
        }
        action = actions.get(request.path_params["what"])
        if action is None:
            return PlainTextResponse("no such thing is done here\n", 404)
        action()
        return self._state()

    async def take(self, request: Request) -> Response:
        name = request.path_params["name"]
        current = self._session.state
        if name == "job.toml" and current.job is not None:
            return _attachment(name, job_text(current.job).encode(), _TYPES[".toml"])
        made = self._made()
        if name == ALL:
            return _attachment(name, self._archive(made), "application/zip")
        if name not in made:
            return PlainTextResponse("there is no such file\n", 404)
        return _attachment(name, made[name], _TYPES[PurePath(name).suffix])

    async def read(self, request: Request) -> Response:
        """The report, to be read in the browser: it carries its styles inside, and may run nothing."""
        body = self._made()["report.html"]
        headers = {"content-security-policy": READING_POLICY}
        return Response(body, media_type="text/html; charset=utf-8", headers=headers)

    def _made(self) -> dict[str, bytes]:
        current = self._session.state
        if current.made is None or current.made_job != current.job:
            raise SessionError("the pattern is not finished; wait until it is")
        return dict(current.made.result.files)

    def _archive(self, made: dict[str, bytes]) -> bytes:
        """All files, with the scan and all else that the job names under their own names: made again where they are
        unpacked."""
        current = self._session.state
        assert current.scan_name is not None
        assert current.kept is not None
        entries = {**made, current.scan_name: current.kept.scan_path(current.scan_name).read_bytes()}
        if current.job is not None and current.job.leather.limits == current.strips_name is not None:
            entries[current.strips_name] = current.kept.strips.read_bytes()
        for companion in companions(current.job) if current.job is not None else ():
            if companion.name:
                entries[companion.name] = kept_companion(current.kept.companions, companion).read_bytes()
        body = io.BytesIO()
        with zipfile.ZipFile(body, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, content in entries.items():
                archive.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)
        return body.getvalue()

    def _state(self) -> Response:
        return JSONResponse(page_state(self._session))


def _worn_payload(found: WornReady) -> bytes:
    points, chart = grid(found.surface)
    return packed({"shape": points.shape[:2]}, {"points": points, "chart": chart})


def _json(text: str) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        raise SessionError("that is nothing that the page sends") from None


def _changes(text: str) -> list[tuple[list[str | int], Any]]:
    try:
        pairs = json.loads(text)
        return [([part if isinstance(part, int) else str(part) for part in path], value) for path, value in pairs]
    except (TypeError, ValueError, RecursionError):
        raise SessionError("that is no list of changes") from None


def _figure(request: Request) -> tuple[str, str]:
    """The key and the figure, as a job file's [sure] has them, that a request names."""
    return request.query_params.get("key", ""), request.query_params.get("figure", "")


def _edge(request: Request) -> str:
    return request.query_params.get("edge", "")


def _place(request: Request) -> tuple[float, float]:
    """The place of the limb that a request names: degrees from the front, mm up it."""
    try:
        place = float(request.query_params.get("bearing", "")), float(request.query_params.get("height", ""))
    except ValueError:
        place = math.nan, math.nan
    if not all(map(math.isfinite, place)):
        raise SessionError("that is no place on the limb")
    return place


def _number(text: str) -> int:
    """A count from 0 on; -1, which is none, for anything else."""
    return int(text) if text.isdecimal() and len(text) < 4 else -1


def _attachment(name: str, body: bytes, kind: str) -> Response:
    return Response(body, media_type=kind, headers={"content-disposition": f'attachment; filename="{name}"'})
