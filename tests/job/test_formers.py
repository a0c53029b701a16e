"""The former of a job: its settings as text, and what a job makes of them."""

import hashlib
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import trimesh

from flatten.job.errors import JobError
from flatten.job.formers import former_plan
from flatten.job.forming import formers_of
from flatten.job.text import job_from, job_of, job_text
from flatten.leather.limits import leather_limits
from flatten.making import finish, lay
from tests.analytic_jobs import design_of, found_on
from tests.former.former_case import OFFSET, in_place, outline_at
from tests.limbs import cylinder

SCAN = '[scan]\nfile = "watch.ply"\n'


def former_in(text):
    return job_from(f"{SCAN}[former]\n{text}", name="watch.toml").former


def test_no_former_is_made_where_none_is_asked_for():
    job = job_from(SCAN, name="watch.toml")
    assert (job.former.kind, former_plan(job.former)) == ("none", None)


@pytest.mark.parametrize(
    ("kind", "printed", "ribbed"), [("print", True, False), ("ribs", False, True), ("both", True, True)]
)
def test_a_kind_says_what_is_made(kind, printed, ribbed):
    plan = former_plan(former_in(f'kind = "{kind}"'))
    assert (plan.printed, plan.ribbed, plan.past, plan.bed) == (printed, ribbed, 25.0, (220.0, 220.0, 250.0))


@pytest.mark.parametrize("springback", ["0 %", "3 %", "12.5 %", "0.333 %", 0.07, 0.1234567891234])
@pytest.mark.parametrize("wall", ["solid", "10 mm", 12.3])
def test_settings_are_written_as_they_were_read(springback, wall):
    asked = {"kind": "both", "springback": springback, "wall": wall, "bed": ["18 cm", "180 mm", "8 in"]}
    job = job_of({"scan": {"file": "watch.ply"}, "former": asked}, name="watch.toml")
    assert job.former.bed == pytest.approx((180.0, 180.0, 203.2))
    assert job_from(job_text(job), name="again") == job


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('kind = "wood"', r"\[former\] kind is 'wood'; it must be 'none', 'print', 'ribs' or 'both'"),
        ('springback = "40 %"', r"\[former\] springback: '40 %' is outside 0 % to 30 %"),
        ('springback = "-3 %"', "springback is '-3 %'; write a percentage such as '5 %'"),
        ('wall = "2 mm"', r"\[former\] wall: '2 mm' is outside 4 to 40 mm; or write 'solid'"),
        ('wall = "thick"', "'thick' is not a length"),
        ('bed = ["220 mm", "220 mm"]', "is no bed; write its three sides"),
        ('bed = ["220 mm", "220 mm", "20 mm"]', "has a side outside 60 to 1000 mm"),
        ('board = "1 mm"', r"\[former\] board: '1 mm' is outside 2 to 30 mm"),
        ("spines = 3", r"\[former\] spines is 3"),
        ('ribs = "yes"', r"\[former\] ribs is unknown; "),
    ],
)
def test_odd_values_are_told_in_one_sentence(text, told):
    with pytest.raises(JobError, match=told):
        former_in(text)


def made(folder, *, side="left", skin=None, pair="no", **former):
    table = {
        "scan": {"file": "tube.ply", "limb": "lower leg", "side": side},
        "edges": {"bottom": "30 mm", "top": "130 mm"},
        "piece": {"pair": pair},
        "former": former,
    }
    job = job_of(table, name="the test")
    found = found_on(cylinder(60.0, high=200.0) if skin is None else skin, side=side, widest=80.0, joint=150.0)
    laid = lay(
        design_of(job, found),
        limits=leather_limits("cased", folder=folder),
        announce=lambda step: None,
        edge_length=8.0,
    )
    return laid, finish(job, [(found, laid)], text="", announce=lambda step: None)


@pytest.fixture(scope="module")
def both(tmp_path_factory):
    return made(
        tmp_path_factory.mktemp("both"), pair="mirrored", kind="both", every="70 mm", bed=["220 mm", "220 mm", "100 mm"]
    )


def test_a_mirrored_pair_has_a_former_for_each_side(both):
    _, result = both
    names = [name for name, _ in result.files]
    assert names[3:-3] == [
        *(
            name
            for side in ("left", "right")
            for name in (
                f"former_{side}_1.stl",
                f"former_{side}_2.stl",
                f"former-ribs_{side}.dxf",
                f"former-ribs_{side}.pdf",
            )
        )
    ]
    numbers = json.loads(dict(result.files)["report.json"])["former"]
    assert [each["side"] for each in numbers] == ["left", "right"]
    assert [part["file"] for each in numbers for part in each["parts"]] == [name for name in names if "stl" in name]
    assert numbers[0]["volume"] == pytest.approx(np.pi * (60.0 + OFFSET) ** 2 * 150.0, rel=2e-3)
    assert numbers[0]["girths"][0] == {
        "name": "widest",
        "height": 80.0,
        "inner": pytest.approx(2 * np.pi * (60.0 + OFFSET), abs=0.01),
        "former": pytest.approx(2 * np.pi * (60.0 + OFFSET), abs=0.01),
    }


def test_files_hold_what_the_report_tells(both):
    _, result = both
    files = dict(result.files)
    for former in json.loads(files["report.json"])["former"]:
        for part in former["parts"]:
            mesh = trimesh.load(io.BytesIO(files[part["file"]]), file_type="stl")
            np.testing.assert_allclose(mesh.extents, part["size"], atol=1e-3)
            assert mesh.volume == pytest.approx(part["volume"], rel=1e-4)
        drawing = ezdxf.read(io.StringIO(files[former["ribs"]["files"][0]].decode()))
        boards = len(former["ribs"]["heights"]) + former["ribs"]["spines"]
        assert len(drawing.modelspace().query('LWPOLYLINE[layer=="CUT"]')) == boards
        assert files[former["ribs"]["files"][1]].startswith(b"%PDF")
    page = files["report.html"].decode()
    assert "What to form it on" in page
    assert "former_left_1.stl to former_left_2.stl" in page


def test_a_job_without_a_former_makes_no_file_of_one(tmp_path):
    _, result = made(tmp_path)
    files = dict(result.files)
    assert not [name for name in files if "former" in name]
    assert json.loads(files["report.json"])["former"] == []
    assert "What to form it on" not in files["report.html"].decode()


def test_a_right_limbs_former_is_the_limb_itself_and_no_mirror_image(tmp_path):
    """A bulge to the outside of a right leg lies, seen from above with the front to the right, at the bottom."""
    bulge = cylinder(60.0, high=200.0)
    radii = bulge.radii + 4.0 * np.sin(2 * np.pi * np.arange(bulge.radii.shape[1]) / bulge.radii.shape[1])
    skin = type(bulge)(bulge.height_knots, radii, bulge.centre, bulge.trusted, 0.0, 0.0, 0.0, ())
    for side, outside in (("left", 1.0), ("right", -1.0)):
        laid, _ = made(tmp_path, side=side, skin=skin, kind="print")
        (former,) = formers_of(laid)
        assert former.side == side
        region = outline_at(in_place(former.parts[0]), 80.0)
        assert outside * region.centroid.y > 3.0


def told(code, result):
    """The findings of a code in report.json."""
    return [one for one in json.loads(dict(result.files)["report.json"])["findings"] if one["code"] == code]


def test_springback_that_closes_the_gap_is_told(tmp_path):
    """4 % of a girth of 404 mm is 16 mm: less than a gap of 25 mm; 10 % is 40."""
    for springback, closed in (("4 %", False), ("10 %", True)):
        _, result = made(tmp_path, kind="ribs", every="100 mm", springback=springback)
        found = [
            one for one in json.loads(dict(result.files)["report.json"])["findings"] if one["code"] == "former.closed"
        ]
        assert bool(found) == closed
    girth = 2 * np.pi * (60.0 + OFFSET)
    assert found[0]["figures"]["less"] == pytest.approx(0.1 * girth, abs=0.1)
    assert found[0]["figures"]["most"] == pytest.approx(25.0 / girth, abs=1e-3)
    assert "Springback up to 6.2 % leaves room" in found[0]["text"]


def test_a_former_cut_short_says_where(tmp_path):
    _, result = made(tmp_path, skin=cylinder(60.0, low=20.0, high=200.0), kind="ribs", every="100 mm")
    (found,) = (
        one for one in json.loads(dict(result.files)["report.json"])["findings"] if one["code"] == "former.short"
    )
    assert found["place"]["part"] == "bottom edge"
    assert found["text"].startswith("The former ends 9 mm past the bottom edge, not 25 mm")


PRINTED = {"kind": "both", "every": "70 mm", "bed": ["220 mm", "220 mm", "100 mm"]}


def digest(folder):
    """What stands for the bytes of all files of a former."""
    _, result = made(folder, **PRINTED)
    return hashlib.sha256(b"".join(content for name, content in result.files if "former" in name)).hexdigest()


def test_same_job_same_bytes_whatever_the_hash_seed_and_the_threads(tmp_path):
    root = Path(__file__).parents[2]
    again = subprocess.run(
        [
            sys.executable,
            "-c",
            "from pathlib import Path; from tests.job.test_formers import digest; print(digest(Path()))",
        ],
        env={**os.environ, "PYTHONHASHSEED": "7", "OMP_NUM_THREADS": "3", "PYTHONPATH": str(root)},
        cwd=root,
        capture_output=True,
        text=True,
        check=True,
    )
    assert again.stdout.strip() == digest(tmp_path)
