"""What a browser sends has an end, and its names stay names."""

import asyncio

import pytest
from starlette.requests import Request

from cli.page import upload
from cli.page.upload import UploadError, kept_suffix, receive_file, receive_text, shown_name


def request_of(*chunks, announced=None, then=None):
    """A request whose body comes in chunks; `then` is awaited where they end without an end."""
    waiting = list(chunks)

    async def receive():
        if waiting:
            chunk = waiting.pop(0)
            return {"type": "http.request", "body": chunk, "more_body": bool(waiting) or then is not None}
        return await then()

    headers = [] if announced is None else [(b"content-length", str(announced).encode())]
    return Request({"type": "http", "method": "POST", "path": "/", "headers": headers}, receive)


def refused(request, target, *, most=100):
    with pytest.raises(UploadError) as error:
        asyncio.run(receive_file(request, target, most=most, progress=lambda so_far: None))
    assert not target.exists()
    return error.value


def test_a_body_arrives_whole(tmp_path):
    arrived = []
    request = request_of(b"abc", b"", b"de", announced=5)
    asyncio.run(receive_file(request, tmp_path / "scan", most=5, progress=arrived.append))
    assert (tmp_path / "scan").read_bytes() == b"abcde"
    assert arrived[-1] == 5


def test_a_body_that_announces_too_much_is_refused_before_it_is_read(tmp_path):
    async def never():
        raise AssertionError("the body was read")

    assert refused(request_of(announced=101, then=never), tmp_path / "scan").status == 413


@pytest.mark.parametrize("announced", ["-1", "many", "1e9"])
def test_a_length_that_is_no_number_is_refused(tmp_path, announced):
    assert refused(request_of(announced=announced), tmp_path / "scan").status == 400


def test_an_endless_body_is_refused_once_it_is_too_long(tmp_path):
    async def more():
        return {"type": "http.request", "body": b"x" * 40, "more_body": True}

    assert refused(request_of(b"x", then=more), tmp_path / "scan").status == 413


def test_a_body_that_says_less_than_it_brings_is_refused(tmp_path):
    assert refused(request_of(b"x" * 101, announced=3), tmp_path / "scan").status == 413


def test_a_body_that_stands_still_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(upload, "PATIENCE", 0.02)

    async def still():
        await asyncio.sleep(10)

    assert refused(request_of(b"x", then=still), tmp_path / "scan").status == 408


def test_a_body_that_breaks_off_is_refused(tmp_path):
    async def gone():
        return {"type": "http.disconnect"}

    assert refused(request_of(b"x", then=gone), tmp_path / "scan").status == 400


def test_a_text_must_be_text():
    assert asyncio.run(receive_text(request_of("grün".encode()))) == "grün"
    with pytest.raises(UploadError, match="no text"):
        asyncio.run(receive_text(request_of(b"\xff\xfe\x00")))
    with pytest.raises(UploadError, match="up to"):
        asyncio.run(receive_text(request_of(b"x" * 50), most=49))


@pytest.mark.parametrize(
    ("sent", "shown"),
    [
        ("leg.ply", "leg.ply"),
        ("../../etc/passwd", "passwd"),
        ("..\\..\\windows\\leg.obj", "leg.obj"),
        ("/etc/leg.stl", "leg.stl"),
        ("..", "scan"),
        (".", "scan"),
        ("", "scan"),
        ("a/", "scan"),
        (".hidden.ply", "hidden.ply"),
        ("le\x00g\n.ply", "leg.ply"),
        ("leg\u202eylp.exe.ply", "legylp.exe.ply"),
        ("C:leg.ply", "Cleg.ply"),
        ("wächter linkes Bein.ply", "wächter linkes Bein.ply"),
        ("x" * 300 + ".ply", "x" * 76 + ".ply"),
    ],
)
def test_a_name_is_shown_and_never_a_path(sent, shown):
    assert shown_name(sent) == shown


@pytest.mark.parametrize(("name", "suffix"), [("leg.PLY", ".ply"), ("leg.glb", ".glb"), ("leg.py", ""), ("ply", "")])
def test_a_kept_scan_has_a_known_ending_or_none(name, suffix):
    assert kept_suffix(name) == suffix
