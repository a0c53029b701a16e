"""The page as it is really served: bytes on a socket, and how it ends."""

import contextlib
import os
import re
import signal
import socket
import subprocess
import sys
import time

import pytest

from cli.page.command import listening
from tests.page.browsing import CALFSKIN, ROOT, begun


class Served:
    def __init__(self, folder):
        self.process, address = begun(folder, stderr=subprocess.PIPE)
        self.host, self.token = re.fullmatch(r"http://([\d.:]+)/open(\S+)", address).groups()
        answer = self.ask(f"GET /open{self.token} HTTP/1.1\r\nHost: {self.host}\r\n\r\n")
        self.cookie = re.search(r"(?i)set-cookie: ([^;]+)", answer)[1]
        self.head = f"Host: {self.host}\r\nOrigin: http://{self.host}\r\nCookie: {self.cookie}\r\n"

    def ask(self, text, body=()):
        """What is answered to the bytes of a request; the connection is closed by whoever tires first."""
        with socket.create_connection(self.address, timeout=20) as line:
            line.sendall(text.encode())
            # The answer may come, and the line be closed, before all of an endless body is sent.
            with contextlib.suppress(ConnectionError):
                for part in body:
                    line.sendall(part)
            line.settimeout(20)
            found = b""
            with contextlib.suppress(ConnectionError):
                while b"\r\n\r\n" not in found:
                    part = line.recv(65536)
                    if not part:
                        break
                    found += part
            return found.decode("latin-1")

    @property
    def address(self):
        home, port = self.host.split(":")
        return home, int(port)


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    served = Served(tmp_path_factory.mktemp("page") / "bench")
    yield served
    served.process.kill()
    served.process.communicate()


def status(answer):
    return int(answer.split(maxsplit=2)[1])


def test_only_this_computers_own_address_is_listened_on():
    with listening() as listener:
        assert listener.getsockname()[0] == "127.0.0.1"
        assert listener.proto == socket.IPPROTO_TCP


def test_the_page_itself_is_answered(served):
    assert status(served.ask(f"GET / HTTP/1.1\r\n{served.head}\r\n")) == 200


@pytest.mark.parametrize(
    ("line", "wanted"),
    [
        ("GET /static/../access.py", 404),
        ("GET /static/..%2faccess.py", 404),
        ("GET /static/%2e%2e/access.py", 404),
        ("GET /static//etc/passwd", 404),
        ("GET /static/..\\access.py", 404),
        ("GET /take/../../etc/passwd", 404),
        ("GET /payload/../read", 404),
        ("DELETE /", 405),
        ("GET /set", 405),
        ("PUT /bring", 405),
    ],
)
def test_no_path_leads_out_of_what_is_served(served, line, wanted):
    assert status(served.ask(f"{line} HTTP/1.1\r\n{served.head}\r\n")) == wanted


@pytest.mark.parametrize(
    "head",
    [
        "",
        "Host: {0}\r\nHost: {0}\r\n",
        "Host: evil.example\r\n",
        "Host: {0}\r\nOrigin: http://evil.example\r\n",
        "Host: {0}\r\nSec-Fetch-Site: cross-site\r\n",
    ],
)
def test_a_foreign_or_double_host_or_origin_is_refused_on_the_line(served, head):
    named = head.format(served.host)
    assert status(served.ask(f"GET / HTTP/1.1\r\n{named}Cookie: {served.cookie}\r\n\r\n")) in (400, 403)


def test_a_full_address_in_the_request_does_not_stand_for_the_host(served):
    answer = served.ask(f"GET http://evil.example/ HTTP/1.1\r\nHost: evil.example\r\nCookie: {served.cookie}\r\n\r\n")
    assert status(answer) in (400, 403)


def test_no_web_socket_is_opened(served):
    upgrade = (
        "Connection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: aGFyYm91cg==\r\n"
    )
    assert status(served.ask(f"GET / HTTP/1.1\r\n{served.head}{upgrade}\r\n")) != 101


def test_a_scan_that_announces_too_much_is_refused_before_it_is_sent(served):
    answer = served.ask(f"POST /bring HTTP/1.1\r\n{served.head}Content-Length: {102 * 2**20}\r\n\r\n")
    assert status(answer) == 413


def test_an_endless_scan_is_refused_once_it_is_too_long(served):
    block = b"x" * 2**20
    part = b"100000\r\n" + block + b"\r\n"
    answer = served.ask(f"POST /bring HTTP/1.1\r\n{served.head}Transfer-Encoding: chunked\r\n\r\n", [part] * 110)
    # Nothing of it is kept, whether or not the sender still heard the answer.
    assert answer == "" or status(answer) == 413
    answer = served.ask(f"GET /take/job.toml HTTP/1.1\r\n{served.head}\r\n")
    assert status(answer) == 409


def test_a_body_of_two_lengths_is_refused(served):
    lengths = "Content-Length: 3\r\nTransfer-Encoding: chunked\r\n"
    assert status(served.ask(f"POST /set HTTP/1.1\r\n{served.head}{lengths}\r\n0\r\n\r\n")) in (400, 409, 422)


def test_a_list_of_changes_that_announces_too_much_is_refused(served):
    answer = served.ask(f"POST /set HTTP/1.1\r\n{served.head}Content-Length: 300000\r\n\r\n")
    assert status(answer) == 413


def test_it_ends_at_once_though_its_events_are_heard_and_says_what_is_kept(tmp_path):
    served = Served(tmp_path / "bench")
    refused = subprocess.run(
        [*CALFSKIN, "page", "--no-browser", "--folder", str(tmp_path / "bench")],
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=60,
    )
    assert refused.returncode == 1
    assert "open already" in refused.stderr
    assert len(refused.stderr.strip().splitlines()) == 1
    with socket.create_connection(served.address, timeout=20) as events:
        events.sendall(f"GET /events HTTP/1.1\r\n{served.head}\r\n".encode())
        assert b"200" in events.recv(65536)
        since = time.monotonic()
        served.process.send_signal(signal.SIGINT)
        out, err = served.process.communicate(timeout=20)
        assert time.monotonic() - since < 10.0
    assert served.process.returncode == 0
    assert "Nothing of it is kept" in out
    assert "Traceback" not in err


def opened(address):
    """The status of an opening address to somebody without a cookie."""
    host, path = re.fullmatch(r"http://([^/]+)(/\S+)", address).groups()
    home, port = host.split(":")
    with socket.create_connection((home, int(port)), timeout=20) as line:
        line.sendall(f"GET {path} HTTP/1.1\r\nHost: {host}\r\n\r\n".encode())
        return status(line.recv(65536).decode("latin-1"))


def test_enter_in_the_terminal_gives_an_address_for_another_window(tmp_path):
    process, first = begun(tmp_path / "bench", stdin=subprocess.PIPE)
    try:
        assert opened(first) == 303
        assert opened(first) == 403
        process.stdin.write("\n")
        process.stdin.flush()
        line = next(line for line in process.stdout if line.startswith("Another window"))
        another = re.search(r"http://\S+", line)[0]
        assert another != first
        assert opened(another) == 303
        assert opened(another) == 403
        process.stdin.close()  # the end of what is read is not the end of the page
        time.sleep(0.3)
        assert opened(another) == 403
        process.send_signal(signal.SIGINT)
        assert process.wait(20) == 0
    finally:
        process.kill()
        process.wait(20)


@pytest.mark.skipif(sys.platform == "win32", reason="terminals of jobs in the background are another matter there")
def test_a_terminal_gives_an_address_too_and_the_page_ends_while_it_waits_for_a_key(tmp_path):
    ours, theirs = os.openpty()
    process, _ = begun(tmp_path / "bench", stdin=theirs, stderr=subprocess.PIPE)
    try:
        os.write(ours, b"\n")
        line = next(line for line in process.stdout if line.startswith("Another window"))
        assert opened(re.search(r"http://\S+", line)[0]) == 303
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=20)
        assert process.returncode == 0
        assert err == ""
    finally:
        process.kill()
        process.wait(20)
        os.close(ours)
        os.close(theirs)


def test_the_page_opens_without_what_only_a_report_is_drawn_with():
    loaded = "import sys, cli.page.command; print(sorted({'matplotlib', 'cli.page.stages'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", loaded], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "['cli.page.stages']"
