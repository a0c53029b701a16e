"""Who may ask: this computer's own browser, from the page's own address, with the cookie that the token bought."""

from __future__ import annotations

import secrets
from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

ADDRESS = "127.0.0.1"
"""The only address that is listened on: nobody else's computer reaches it."""

OPENING = "/open"
"""Where the opening address points; its token is swapped there for the cookie."""

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
    the cookie. `token` opens the page once.
    """

    def __init__(self, app: ASGIApp, *, port: int) -> None:
        """Draw a new token and a new cookie."""
        self._app = app
        self.host = f"{ADDRESS}:{port}"
        self.origin = f"http://{self.host}"
        self._cookie_name = f"calfskin_{port}"
        self._cookie = secrets.token_urlsafe(32)
        self._token: str | None = secrets.token_urlsafe(32)

    @property
    def opening_address(self) -> str:
        """The address that opens the page, once."""
        return f"{self.origin}{OPENING}?token={self._token}"

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
            answer = _refused("open the page by the address that calfskin page prints")
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
        if self._token is None or not secrets.compare_digest(given.encode(), self._token.encode()):
            return _refused("this address has been used, or is wrong; stop calfskin page and start it anew")
        self._token = None
        answer = RedirectResponse("/", 303)
        answer.set_cookie(self._cookie_name, self._cookie, httponly=True, samesite="strict", path="/")
        return answer

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
