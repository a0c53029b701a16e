"""What was brought together is told by its content: the scan with its companions, the job, the strips, and the rest."""

import contextlib
import errno
import io
import itertools
import json
import os
import struct
import zipfile

import pytest

from cli.page import unpack
from cli.page.arriving import lay, told
from cli.page.bench import NotKeptError
from cli.page.brought import recognised
from cli.page.folder import Folder
from cli.page.jobs import job_name
from cli.page.kept import KeptJob
from cli.page.seen import BroughtError, Item
from cli.page.session import Session
from cli.page.state import page_state
from cli.page.unpack import UnpackError
from cli.page.updates import Failure
from cli.page.upload import UploadError, parts_of
from flatten.errors import CalfskinError
from flatten.job.errors import JobError
from flatten.leather.model import LeatherError
from flatten.scan.load import load
from flatten.scan.model import ScanError
from tests.page.arrived import SCAN, brought, found
from tests.scan.scan_files import ascii_stl_bytes, gltf_content, obj_bytes, ply_bytes, stl_bytes, tube

LIMB = tube(columns=12, rows=6)
OBJ = obj_bytes(*LIMB, first_line="mtllib leg.mtl")
PLY = ply_bytes(*LIMB)
MTL = b"newmtl skin\nKd 1 1 1\nmap_Kd leg.jpg\n"
JPG = b"\xff\xd8\xff\xe0\x00\x10JFIF" + bytes(60)
JOB = b'[scan]\nfile = "leg.obj"\nlimb = "thigh"\n'
STRIPS = b"""load = "10 kg"
width = "25 mm"
thickness = "3 mm"
strip = [
  { direction = "along", L0 = "100 mm", L2 = "104 mm" },
  { direction = "across", L0 = "100 mm", L2 = "106 mm" },
]
"""
ROWS = b"direction;L0;L2;load;width;thickness\nalong;100;104;10;25;3\nacross;100;106,5;10;25;3\n"
ROWS_JOB = JOB + b'[leather]\nlimits = "hide.csv"\n'
STRIPS_JOB = JOB + b'[leather]\nlimits = "hide.toml"\n'


def gltf(uri="leg.bin"):
    content, data = gltf_content(*LIMB)
    content["buffers"][0]["uri"] = uri
    return json.dumps(content).encode(), data


def zipped(**files):
    return zipped_of(files)


def zipped_of(files, kind=zipfile.ZIP_DEFLATED):
    body = io.BytesIO()
    with zipfile.ZipFile(body, "w", kind) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return body.getvalue()


def of(files):
    return recognised([Item(path, data) for path, data in files.items()])


def names(brought):
    return [scan.name for scan in brought.scans]


SETS = {
    "a phone's three files": ({"leg.obj": OBJ, "leg.mtl": MTL, "leg.jpg": JPG}, ["leg.obj"], ["leg.mtl", "leg.jpg"]),
    "their folder": (
        {"Export/leg.obj": OBJ, "Export/leg.mtl": MTL, "Export/img/leg.jpg": JPG},
        ["leg.obj"],
        ["leg.mtl", "leg.jpg"],
    ),
    "large letters": ({"LEG.OBJ": OBJ, "LEG.JPG": JPG}, ["LEG.OBJ"], ["LEG.JPG"]),
    "a wrong ending": ({"leg.jpg": PLY, "leg.txt": JPG}, ["leg.jpg"], ["leg.txt"]),
    "what a Mac adds": (
        {"__MACOSX/._leg.obj": b"\x00\x05\x16\x07", ".DS_Store": b"\x00\x00\x00\x01Bud1", "leg.obj": OBJ},
        ["leg.obj"],
        [],
    ),
    "what Windows adds": (
        {"s/Thumbs.db": b"\xd0\xcf", "s/Desktop.ini": b"[x]", "s/leg.ply": PLY},
        ["leg.ply"],
        [],
    ),
    "notes": ({"leg.ply": PLY, "notes.txt": b"left leg, Monday", "info.json": b'{"app": 1}'}, ["leg.ply"], None),
    "a ZIP of one": ({"leg.zip": zipped_of({"leg.obj": OBJ, "leg.mtl": MTL, "leg.jpg": JPG})}, ["leg.zip"], []),
}


@pytest.mark.parametrize("case", SETS)
def test_the_scan_is_found_in_whatever_order_it_comes(case):
    files, scans, unneeded = SETS[case]
    for order in itertools.permutations(files):
        brought = of({path: files[path] for path in order})
        assert names(brought) == scans
        if unneeded is not None:
            assert sorted(brought.unneeded) == sorted(unneeded)
        assert brought.job is None


FORMATS = {
    "leg.obj": OBJ,
    "leg.ply": PLY,
    "ascii.ply": ply_bytes(*LIMB, encoding="ascii"),
    "leg.stl": stl_bytes(*LIMB),
    "ascii.stl": ascii_stl_bytes(*LIMB),
    "leg.xyz": "\n".join("{} {} {}".format(*point) for point in LIMB[0]).encode(),
    "leg.csv": "\n".join("{},{},{}".format(*point) for point in LIMB[0]).encode(),
    "leg.usda": b"#usda 1.0\n",
    "leg.usdc": b"PXR-USDC" + bytes(80),
    "leg.usdz": zipped_of({"leg.usdc": b"PXR-USDC" + bytes(80)}, zipfile.ZIP_STORED),
    "leg.glb": b"glTF" + struct.pack("<II", 2, 12),
}


@pytest.mark.parametrize("name", FORMATS)
@pytest.mark.parametrize("called", ["{}", "{}.download", "UP/{}"])
def test_every_format_of_a_scan_is_told_by_its_content(name, called):
    path = called.format(name)
    (scan,) = of({path: FORMATS[name], "leg.mtl": MTL}).scans
    assert scan.data == FORMATS[name]


@pytest.mark.parametrize("folder", ["", "Leg/"])
@pytest.mark.parametrize("uri", ["leg.bin", "LEG.bin", "parts/leg.bin", "leg%20one.bin"])
def test_a_gltf_takes_its_points_from_the_files_that_came_with_it(tmp_path, folder, uri):
    text, data = gltf(uri)
    path = uri.replace("%20", " ") if folder else uri.replace("%20", " ").rpartition("/")[2]
    brought = of({f"{folder}leg.gltf": text, f"{folder}{path}": data, f"{folder}skin.png": b"\x89PNG\r\n\x1a\n"})
    assert names(brought) == ["leg.gltf"]
    assert brought.unneeded == ("skin.png",)
    (tmp_path / "alone.gltf").write_bytes(brought.scans[0].data)
    assert len(load(tmp_path / "alone.gltf").faces) == len(LIMB[1])


@pytest.mark.parametrize("uri", ["leg.bin", "../leg.bin", "/etc/passwd", "file:///etc/passwd", "..\\leg.bin", ""])
def test_a_gltf_without_its_points_is_refused_and_no_path_leads_out(uri):
    text, data = gltf(uri)
    with pytest.raises((ScanError, BroughtError), match="keeps its points in"):
        of({"a/leg.gltf": text, "leg.txt": data})


def test_a_job_goes_with_its_scan_and_its_strips():
    files = {"leg.obj": OBJ, "job.toml": STRIPS_JOB, "hide.toml": STRIPS, "leg.jpg": JPG}
    for order in itertools.permutations(files):
        brought = of({path: files[path] for path in order})
        assert names(brought) == ["leg.obj"]
        assert (brought.job.scan.limb, brought.job.scan.file) == ("thigh", "leg.obj")
        assert brought.strips.name == brought.job.leather.limits == "hide.toml"
        assert brought.strips.text.encode() == STRIPS
        assert brought.unneeded == ("leg.jpg",)


def test_a_job_picks_the_scan_that_it_names_and_a_lone_scan_of_another_name():
    brought = of({"arm.ply": PLY, "Leg.OBJ": OBJ, "job.toml": JOB})
    assert (names(brought), brought.unneeded) == (["Leg.OBJ"], ("arm.ply",))
    brought = of({"arm.ply": PLY, "job.toml": JOB})
    assert (names(brought), brought.job.scan.file) == (["arm.ply"], "arm.ply")
    with pytest.raises(BroughtError, match=r"goes by the scan leg\.obj"):
        of({"arm.ply": PLY, "foot.ply": PLY, "job.toml": JOB})


def test_rows_of_a_spreadsheet_are_a_strip_test(tmp_path):
    brought = of({"leg.obj": OBJ, "job.toml": ROWS_JOB, "hide.csv": ROWS})
    assert brought.strips.name == brought.job.leather.limits == "hide.toml"
    assert "106.5" in brought.strips.text
    assert of({"HIDE.CSV": ROWS}).strips.name == "HIDE.toml"
    assert of({"hide.txt": ROWS.replace(b";", b",").replace(b"106,5", b"106.5")}).strips.name == "hide.txt.toml"


def test_readings_without_sense_are_refused_before_anything_is_laid_down():
    with pytest.raises(LeatherError, match=r"hide\.toml"):
        of({"leg.obj": OBJ, "job.toml": STRIPS_JOB, "hide.toml": STRIPS.replace(b"104", b"4")})


OWN = {
    "pattern.dxf": b"0\nSECTION\n2\nHEADER\n",
    "pattern.pdf": b"%PDF-1.4",
    "former.stl": stl_bytes(*LIMB),
    "report.html": b"<!DOCTYPE html>",
    "report.json": b'{"schema": 1}',
    "job.toml": STRIPS_JOB,
    "leg.obj": OBJ,
    "hide.toml": STRIPS,
}


def test_the_benchs_own_zip_comes_back_whole():
    brought = of({"calfskin.zip": zipped_of(OWN)})
    assert names(brought) == ["leg.obj"]
    assert brought.scans[0].data == OBJ
    assert brought.job.scan.limb == "thigh"
    assert brought.strips.name == "hide.toml"
    assert brought.unneeded == ()


def test_what_was_made_is_never_taken_for_the_scan():
    without = {name: content for name, content in OWN.items() if name != "leg.obj"}
    assert of({"calfskin.zip": zipped_of(without)}).scans == ()
    assert of({f"out/{name}": content for name, content in without.items()}).scans == ()


def test_a_job_before_what_was_made_of_it():
    made = {f"mine/out/{name}": content for name, content in OWN.items() if name not in ("leg.obj", "hide.toml")}
    brought = of({**made, "mine/leg.toml": JOB.replace(b"thigh", b"forearm"), "mine/leg.obj": OBJ})
    assert (names(brought), brought.job.scan.limb) == (["leg.obj"], "forearm")
    with pytest.raises(BroughtError, match="are 2 job files"):
        of({"a.toml": JOB, "b.toml": JOB, "leg.obj": OBJ})


def test_several_scans_without_a_job_are_all_found():
    assert names(of({"left.ply": PLY, "right.obj": OBJ})) == ["left.ply", "right.obj"]
    assert names(of({"both.zip": zipped_of({"left.ply": PLY, "right.obj": OBJ})})) == ["left.ply", "right.obj"]
    assert names(of({"odd.zip": zipped_of({"left.scan": PLY})})) == ["left.scan"]


HOSTILE = [
    ({}, BroughtError, "no file"),
    ({".DS_Store": b"x", "__MACOSX/a": b"y"}, BroughtError, "no file"),
    ({"leg.ply": b""}, ScanError, "leg.ply is empty"),
    ({"leg.jpg": JPG}, ScanError, "JPEG picture"),
    ({"arm.ply": PLY, "leg.ply": JPG}, ScanError, "leg.ply is a JPEG picture"),
    (
        {"a.jpg": JPG, "b.jpg": JPG, "c.jpg": JPG, "d.jpg": JPG},
        BroughtError,
        "c.jpg and 1 more is no scan",
    ),
    ({"leg.ply": PLY, "job.toml": b"[scan\n"}, JobError, "job.toml is not a job file"),
    ({"leg.ply": PLY, "job.toml": b"\xff\xfe"}, BroughtError, "no text"),
    ({"leg.ply": PLY, "job.toml": b"[tool]\n"}, JobError, "job.toml"),
    ({"leg.ply": PLY, "arm.obj": b"nothing here"}, ScanError, "arm.obj is no 3D scan"),
    ({"leg.zip": b"PK\x03\x04" + bytes(50)}, UnpackError, "cannot be unpacked"),
    ({"leg.zip": zipped_of({"notes.txt": b"x"})}, ScanError, "without a scan"),
    ({"leg.zip": zipped_of({"../../leg.obj": OBJ, "job.toml": JOB})}, UnpackError, "leads out of it"),
    ({"leg.zip": zipped_of({"/etc/leg.obj": OBJ})}, UnpackError, "leads out of it"),
    ({"leg.zip": zipped_of({"C:\\leg.obj": OBJ})}, UnpackError, "leads out of it"),
    ({"leg.zip": zipped_of({"job.toml": JOB, "leg.obj": bytes(50_000_000)})}, UnpackError, "packed tighter"),
    ({"leg.zip": zipped_of({f"{n}.txt": b"" for n in range(2001)})}, UnpackError, "holds 2001 files"),
]


@pytest.mark.parametrize(("files", "error", "words"), HOSTILE)
def test_what_is_broken_or_meant_to_harm_is_refused_in_one_sentence(files, error, words):
    with pytest.raises(error) as refused:
        of(files)
    assert words in str(refused.value)
    assert "\n" not in str(refused.value)


def test_an_archive_of_much_is_refused_though_each_file_is_small(monkeypatch):
    data = zipped_of({"job.toml": JOB, **{f"leg{n}.ply": PLY for n in range(9)}})
    monkeypatch.setattr(unpack, "MOST_UNPACKED", 9 * len(PLY))
    with pytest.raises(UnpackError, match="would unpack to"):
        of({"leg.zip": data})


def test_a_locked_archive_is_refused():
    data = bytearray(zipped_of({"job.toml": JOB, "leg.obj": OBJ}, zipfile.ZIP_STORED))
    for mark, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = -1
        while (at := data.find(mark, at + 1)) >= 0:
            data[at + flags] |= 1
    with pytest.raises(UnpackError, match="locked by a password"):
        of({"leg.zip": bytes(data)})


def test_an_archive_damaged_anywhere_is_read_or_refused():
    data = zipped_of(OWN)
    for at in range(0, len(data), max(1, len(data) // 150)):
        damaged = data[:at] + bytes([data[at] ^ 0x55]) + data[at + 1 :]
        with contextlib.suppress(CalfskinError):
            assert len(of({"calfskin.zip": damaged}).scans) <= 1


# Over the wire


@pytest.mark.parametrize(
    "broken",
    [
        b"",
        b"\x01",
        struct.pack("<I", 2**31) + b"[]",
        struct.pack("<I", 2) + b"[}",
        brought({}, {"a": 1}),
        brought({}, [["a"]]),
        brought({}, [["a", "b"]]),
        brought({"a": b"xy"}, [["a", 1]]),
        brought({"a": b"xy"}, [["a", 3], ["b", -1]]),
        brought({}, [["a", 1e400]]),
        brought({}) + b"more",
    ],
)
def test_a_body_that_is_not_what_the_page_sends_is_refused(broken):
    with pytest.raises(UploadError, match="not whole"):
        parts_of(broken)


def test_more_files_than_are_looked_through_are_refused():
    with pytest.raises(UploadError, match="2001 files"):
        parts_of(brought({f"{n}": b"" for n in range(2001)}))
    assert len(parts_of(brought({f"{n}": b"x" for n in range(2000)}))) == 2000


def bring(client, files):
    return client.post("/bring", content=brought(files))


def test_a_phones_three_files_lay_its_scan_and_name_the_rest(client, session):
    answer = bring(client, {"leg.jpg": JPG, "leg.mtl": MTL, "leg.obj": OBJ})
    assert answer.json()["told"] == "leg.jpg and leg.mtl are not needed."
    found(session, SCAN)
    assert session.state.scan_name == "leg.obj"
    assert session.state.kept.scan_path("leg.obj").read_bytes() == OBJ
    assert not session.folder.arriving.exists()


def test_the_benchs_zip_comes_back_with_its_job_and_its_strips(client, session):
    assert bring(client, {"calfskin.zip": zipped_of(OWN)}).json()["told"] == ""
    found(session, SCAN)
    state = session.state
    assert (state.scan_name, state.strips_name, state.job.scan.limb) == ("leg.obj", "hide.toml", "thigh")
    assert state.kept.strips.read_bytes() == STRIPS
    assert state.job.leather.limits == "hide.toml"


def test_a_scan_with_a_strip_test_goes_by_it(client, session):
    assert bring(client, {"leg.obj": OBJ, "hide.toml": STRIPS}).status_code == 200
    found(session, SCAN)
    assert session.state.job.leather.limits == session.state.strips_name == "hide.toml"


def test_readings_alone_are_for_the_job_on_the_bench(client, session):
    session.take_demo()
    assert bring(client, {"hide.csv": ROWS}).status_code == 200
    assert session.state.job.leather.limits == session.state.strips_name == "hide.toml"


def test_several_scans_are_a_job_each_and_undo_leads_back_through_them(session):
    session.take_demo()
    session.change([(["wear", "ease"], "12 mm")])
    brought = of({"a.ply": PLY, "b.ply": PLY, "c.obj": OBJ, "notes.txt": b"Monday"})
    lay(session, brought)
    assert "3 scans" in told(brought)
    assert "notes.txt is not needed" in told(brought)
    for name in ("a.ply", "b.ply", "c.obj"):
        assert session.wanted().job.scan.file == name
        found(session, SCAN)
        assert session.state.scan_name == name
        assert session.state.job.wear.ease == 12.0
    assert session.arrival is None
    assert len(session.folder.jobs()) == 4
    for name in ("b.ply", "a.ply", "harbour_watch_left_shin.ply"):
        session.undo()
        assert session.state.scan_name == name
    again = Session(Folder(session.folder.path))
    assert sorted(job["name"] for job in page_state(again)["jobs"]) == sorted(
        ["a", "b", "c", job_name(session.state.job)]
    )


@pytest.mark.parametrize("empty", [True, False])
def test_of_several_scans_those_that_cannot_be_read_do_not_take_the_others(session, empty):
    if not empty:
        session.take_demo()
    lay(session, of({"a.ply": PLY, "b.ply": PLY, "c.ply": PLY, "hide.toml": STRIPS}))
    found(session, Failure("a.ply is empty", "scan"))
    found(session, SCAN)
    found(session, Failure("c.ply is torn", "scan"))
    state = page_state(session)
    assert session.state.scan_name == "b.ply"
    assert session.state.job.leather.limits == session.state.strips_name == "hide.toml"
    assert state["refused"]["sentence"] == "a.ply is empty; c.ply is torn."
    assert state["failure"] is None
    assert len(session.folder.jobs()) == (1 if empty else 2)
    assert session.arrival is None


def test_several_scans_of_which_none_can_be_read_leave_nothing(session):
    lay(session, of({"a.ply": PLY, "b.ply": PLY}))
    found(session, Failure("a.ply is empty", "scan"))
    found(session, Failure("b.ply is torn", "scan"))
    assert page_state(session)["failure"]["sentence"] == "a.ply is empty; b.ply is torn."
    assert list(session.folder.path.iterdir()) == []


def test_where_not_all_of_several_scans_can_be_kept_none_is(session, monkeypatch):
    session.take_demo()
    before = session.folder.jobs()[0].key
    made, take = [], KeptJob.take_scan

    def full(self, arrived, name):
        made.append(name)
        if len(made) == 2:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        take(self, arrived, name)

    monkeypatch.setattr(KeptJob, "take_scan", full)
    with pytest.raises(NotKeptError, match="No space left"):
        lay(session, of({"a.ply": PLY, "b.ply": PLY, "c.ply": PLY}))
    assert session.arrival is None
    assert [job.key for job in session.folder.jobs()] == [before]
    assert [path.name for path in (session.folder.path / "jobs").iterdir()] == [before]
    assert not session.folder.arriving.exists()


@pytest.mark.parametrize(
    "files",
    [
        {"leg.jpg": JPG},
        {"leg.ply": b""},
        {},
        {"leg.ply": PLY, "job.toml": b"[scan\n"},
        {"leg.zip": zipped_of({"../leg.obj": OBJ, "job.toml": JOB})},
    ],
)
def test_what_is_refused_leaves_the_bench_as_it_was(client, session, files):
    session.take_demo()
    session.change([(["wear", "ease"], "12 mm")])
    kept = session.state.kept.scan_path(session.state.scan_name).read_bytes()
    answer = bring(client, files)
    assert answer.status_code in (409, 422)
    assert answer.json()["sentence"]
    assert session.arrival is None
    assert session.state.job.wear.ease == 12.0
    assert session.can_undo
    assert session.state.kept.scan_path(session.state.scan_name).read_bytes() == kept
    assert not session.folder.arriving.exists()


def test_no_name_that_is_sent_is_ever_a_path(client, session, tmp_path):
    bring(client, {"a/../../../evil.ply": PLY})
    bring(client, {"x/evil\x00.ply": PLY, "C:\\evil.mtl": MTL})
    assert not list(tmp_path.rglob("*evil*"))
