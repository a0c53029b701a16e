"""Who is let through to the page, and what every answer carries."""

import pytest
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route
from starlette.testclient import TestClient

from cli.page.access import AccessGuard

PORT = 40123
HOME = f"http://127.0.0.1:{PORT}"


@pytest.fixture
def guard():
    async def inside(request):
        return PlainTextResponse("inside")

    return AccessGuard(Starlette(routes=[Route("/", inside, methods=["GET", "POST"])]), port=PORT)


@pytest.fixture
def stranger(guard):
    return TestClient(guard, base_url=HOME, follow_redirects=False)


@pytest.fixture
def maker(guard):
    client = TestClient(guard, base_url=HOME, follow_redirects=True)
    client.get(guard.opening_address)
    return client


def test_the_opening_address_lets_the_browser_in(maker):
    assert maker.get("/").text == "inside"
    assert maker.post("/", headers={"origin": HOME}).text == "inside"


def test_without_the_cookie_nothing_is_answered(stranger):
    assert stranger.get("/").status_code == 403
    assert stranger.post("/", headers={"origin": HOME}).status_code == 403


@pytest.mark.parametrize("token", ["", "wrong", "é"])
def test_a_wrong_token_buys_no_cookie(stranger, token):
    answer = stranger.get("/open", params={"token": token})
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


def test_the_token_opens_once(guard, stranger, maker):
    assert stranger.get(guard.opening_address).status_code == 403
    assert maker.get(guard.opening_address).text == "inside"


def test_the_cookie_is_out_of_reach_of_code_and_of_other_sites(guard, stranger):
    cookie = stranger.get(guard.opening_address).headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert "domain" not in cookie


def test_a_cookie_of_another_value_is_none(stranger):
    stranger.cookies.set(f"calfskin_{PORT}", "guessed")
    assert stranger.get("/").status_code == 403


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        f"evil.example:{PORT}",
        "127.0.0.1",
        f"localhost:{PORT}",
        "127.0.0.1:1",
        f"127.0.0.1:{PORT}.x",
        "",
    ],
)
def test_a_foreign_host_is_refused(maker, host):
    assert maker.get("/", headers={"host": host}).status_code == 403


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", f"https://127.0.0.1:{PORT}", f"http://localhost:{PORT}", f"{HOME}.x", ""]
)
@pytest.mark.parametrize("method", ["GET", "POST"])
def test_a_foreign_origin_is_refused(maker, origin, method):
    assert maker.request(method, "/", headers={"origin": origin}).status_code == 403


def test_a_change_without_an_origin_is_refused(maker):
    assert maker.post("/").status_code == 403


@pytest.mark.parametrize("site", ["cross-site", "same-site"])
def test_what_the_browser_calls_another_site_is_refused(maker, site):
    assert maker.get("/", headers={"sec-fetch-site": site}).status_code == 403


def test_every_answer_carries_the_policy(maker, stranger):
    for answer in (maker.get("/"), stranger.get("/"), maker.get("/nowhere")):
        policy = answer.headers["content-security-policy"]
        assert policy.startswith("default-src 'self';")
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["cache-control"] == "no-store"


def test_other_protocols_are_not_spoken(maker):
    with pytest.raises(RuntimeError, match="websocket"), maker.websocket_connect("/"):
        pass
