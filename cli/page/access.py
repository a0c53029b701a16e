"""Who may ask: this computer's own browser, from the page's own address, with the cookie that the token bought."""

from __future__ import annotations

import secrets
import time
from collections.abc import Callable
from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

ADDRESS = "127.0.0.1"
"""The only address that is listened on: nobody else's computer reaches it."""

OPENING = "/open"
"""Where the opening address points; its token is swapped there for the cookie."""

ANOTHER = "/another-window"
"""Where a window that has been let in asks for an address that lets in one more."""

LIFETIME = 600.0
"""s. So long an opening address that nobody has used lets somebody in: time to copy it into another browser."""

POLICY = "default-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; object-src 'none'"
"""Content Security Policy of the page: its own files and nothing else, no code or style inside the HTML."""

READING_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'; sandbox"
"""Policy of the finished report, which carries its styles inside and must run nothing."""

_HEADERS = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


class AccessGuard:
    """Lets a request through to `app` only from the page itself; every answer carries the page's policy.

    Refused are: another Host than the exact address and port (so no other name can be pointed here), another Origin,
    a change asked for without an Origin, a browser that says the request comes from another site, and all without
    the cookie. An opening address opens the page once, within LIFETIME.
    """

    def __init__(self, app: ASGIApp, *, port: int, clock: Callable[[], float] = time.monotonic) -> None:
        """Draw a new cookie. `clock` tells the seconds by which opening addresses grow old."""
        self._app = app
        self.host = f"{ADDRESS}:{port}"
        self.origin = f"http://{self.host}"
        self._cookie_name = f"calfskin_{port}"
        self._cookie = secrets.token_urlsafe(32)
        self._clock = clock
        self._tokens: dict[str, float] = {}

    def opening_address(self) -> str:
        """A new address that opens the page, once and within LIFETIME."""
        now = self._clock()
        self._tokens = {token: end for token, end in self._tokens.items() if now < end}
        drawn = secrets.token_urlsafe(32)
        self._tokens[drawn] = now + LIFETIME
        return f"{self.origin}{OPENING}?token={drawn}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            raise RuntimeError(f"the page does not speak {scope['type']}")

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers[name] = value
                if "content-security-policy" not in headers:
                    headers["content-security-policy"] = POLICY
            await send(message)

        request = Request(scope)
        answer = self._refusal(request) or (self._opened(request) if request.url.path == OPENING else None)
        if answer is None and not self._has_cookie(request.headers):
            answer = _refused(
                "open the page by the address that calfskin page prints; Enter in its terminal gives a new one"
            )
        if answer is None and request.url.path == ANOTHER:
            answer = self._another(request)
        await (answer or self._app)(scope, receive, send_guarded)

    def _refusal(self, request: Request) -> Response | None:
        headers = request.headers
        if headers.getlist("host") != [self.host]:
            return _refused(f"this page answers only as {self.host}")
        origins = headers.getlist("origin")
        if origins not in ([], [self.origin]) or (not origins and request.method not in ("GET", "HEAD")):
            return _refused("this page answers only itself")
        if headers.get("sec-fetch-site", "none") not in ("same-origin", "none"):
            return _refused("this page answers only itself")
        return None

    def _opened(self, request: Request) -> Response:
        if self._has_cookie(request.headers):
            return RedirectResponse("/", 303)
        given = request.query_params.get("token", "")
        if not self._spent(given):
            return _refused(
                "this address has been used, is too old, or is wrong; press Enter in the terminal of calfskin page "
                "for a new one"
            )
        answer = RedirectResponse("/", 303)
        answer.set_cookie(self._cookie_name, self._cookie, httponly=True, samesite="strict", path="/")
        return answer

    def _spent(self, given: str) -> bool:
        """Whether what was given is a token that still opens; it does not open again."""
        # Each is compared, and in the same time, so that how long the answer takes tells nothing of them.
        found = [token for token in self._tokens if secrets.compare_digest(given.encode(), token.encode())]
        ends = [self._tokens.pop(token) for token in found]
        return any(self._clock() < end for end in ends)

    def _another(self, request: Request) -> Response:
        if request.method != "POST":
            return PlainTextResponse("this is only asked for by a button\n", 405)
        return JSONResponse({"address": self.opening_address(), "minutes": round(LIFETIME / 60)})

    def _has_cookie(self, headers: Headers) -> bool:
        for line in headers.getlist("cookie"):
            try:
                found = SimpleCookie(line).get(self._cookie_name)
            except CookieError:
                continue
            if found is not None and secrets.compare_digest(found.value.encode(), self._cookie.encode()):
                return True
        return False


def _refused(sentence: str) -> Response:
    return PlainTextResponse(f"{sentence}\n", 403)
