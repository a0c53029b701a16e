"""Who is let through to the page, and what every answer carries."""

import pytest
from starlette.applications import Starlette
from starlette.responses import PlainTextResponse
from starlette.routing import Route
from starlette.testclient import TestClient

from cli.page.access import LIFETIME, AccessGuard

PORT = 40123
HOME = f"http://127.0.0.1:{PORT}"


class Clock:
    seconds = 0.0

    def __call__(self):
        return self.seconds


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def guard(clock):
    async def inside(request):
        return PlainTextResponse("inside")

    return AccessGuard(Starlette(routes=[Route("/", inside, methods=["GET", "POST"])]), port=PORT, clock=clock)


@pytest.fixture
def stranger(guard):
    return TestClient(guard, base_url=HOME, follow_redirects=False)


@pytest.fixture
def maker(guard):
    client = TestClient(guard, base_url=HOME, follow_redirects=True)
    client.get(guard.opening_address())
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


def test_an_address_opens_once(guard, stranger):
    address, other = guard.opening_address(), TestClient(guard, base_url=HOME)
    assert stranger.get(address).status_code == 303
    assert stranger.get(address).headers["location"] == "/"
    assert other.get(address).status_code == 403
    assert other.get("/").status_code == 403


def test_whoever_is_let_in_leaves_another_address_as_it_is(guard, maker):
    address = guard.opening_address()
    assert maker.get(address).text == "inside"
    assert TestClient(guard, base_url=HOME).get(address).text == "inside"


@pytest.mark.parametrize(("waits", "status"), [(LIFETIME - 1.0, 303), (LIFETIME, 403), (LIFETIME * 9, 403)])
def test_an_address_grows_old(guard, clock, stranger, waits, status):
    address = guard.opening_address()
    clock.seconds = waits
    assert stranger.get(address).status_code == status


def test_a_new_address_stands_beside_an_older_one(guard):
    addresses = [guard.opening_address() for _ in range(3)]
    assert len(set(addresses)) == 3
    for address in reversed(addresses):
        assert TestClient(guard, base_url=HOME).get(address).text == "inside"
        assert TestClient(guard, base_url=HOME).get(address).status_code == 403


def test_an_open_window_lets_another_browser_in_once(guard, maker):
    answer = maker.post("/another-window", headers={"origin": HOME}).json()
    assert answer["minutes"] * 60 == LIFETIME
    assert TestClient(guard, base_url=HOME).get(answer["address"]).text == "inside"
    assert TestClient(guard, base_url=HOME).get(answer["address"]).status_code == 403


def test_only_the_page_itself_gets_another_address(guard, maker, stranger):
    assert stranger.post("/another-window", headers={"origin": HOME}).status_code == 403
    assert maker.post("/another-window").status_code == 403
    assert maker.post("/another-window", headers={"origin": "http://evil.example"}).status_code == 403
    assert maker.get("/another-window").status_code == 405
    assert "token=" not in maker.get("/another-window").text


def test_wrong_guesses_never_open_and_take_nothing_from_the_right_one(guard, stranger):
    address = guard.opening_address()
    token = address.partition("=")[2]
    for guess in [token[:-1], token + "A", token.swapcase(), token[::-1], "A" * len(token), *map(str, range(200))]:
        assert stranger.get("/open", params={"token": guess}).status_code == 403
    assert stranger.get(address).status_code == 303


def test_the_cookie_is_out_of_reach_of_code_and_of_other_sites(guard, stranger):
    cookie = stranger.get(guard.opening_address()).headers["set-cookie"].lower()
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
