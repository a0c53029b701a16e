"""`calfskin measure` and `calfskin card`: what they print and write."""

import io
import json
import re
import tomllib
from pathlib import Path

import numpy as np
import trimesh
from PIL import Image

from cli.measure import table_rows
from flatten.limb.girths.girth import Girth
from tests.figures import cropped
from tests.scan.scan_files import ply_bytes

SCAN = Path(__file__).parent.parent / "data" / "scans" / "forearm_c_nodes.glb"
KNOWN = ("--limb", "forearm", "--side", "right")


def test_a_limb_is_told_and_drawn(calfskin, listed, tmp_path):
    ended = calfskin("measure", SCAN, *KNOWN, "--picture", tmp_path / "found.png")
    assert ended.code == 0
    assert "Widest forearm" in ended.out
    assert "Wrist" in ended.out
    assert "No tape girth was given" in ended.out
    assert listed(tmp_path) == ["found.png"]
    with Image.open(io.BytesIO((tmp_path / "found.png").read_bytes())) as picture:
        assert picture.format == "PNG"
        assert min(picture.size) > 1000


def test_a_scan_without_its_back_is_told_before_leather_is_cut(calfskin, tmp_path):
    scan = SCAN.with_name("leg_a_clean.ply")
    facts = json.loads(scan.with_suffix(".json").read_text("utf8"))
    mesh = trimesh.load_mesh(scan)
    axis = {name: np.array(facts["axis"][name]) for name in ("direction_file", "front_file", "origin_file")}
    away = np.asarray(mesh.triangles_center) - axis["origin_file"] * facts["mm_per_unit"]
    front = away @ axis["front_file"]
    turn = np.arctan2(away @ np.cross(axis["direction_file"], axis["front_file"]), front)
    behind = (np.abs(turn) > np.radians(140.0)) & (away @ axis["direction_file"] > 30.0)
    path = tmp_path / "half.ply"
    path.write_bytes(ply_bytes(np.asarray(mesh.vertices), np.asarray(mesh.faces)[~behind]))
    ended = calfskin("measure", path, "--side", facts["side"])
    assert ended.code == 0, ended.err
    share = int(re.search(r"The scan shows nothing on (\d+) % of the limb, most of it at the back", ended.out)[1])
    # 80 of 360 degrees of bearing about the axis are gone; what is seen is spread by a cell of 4 mm at each rim.
    assert 12 <= share <= 24
    assert "scan it again, all round" in ended.out
    whole = calfskin("measure", scan, "--side", facts["side"])
    assert "shows nothing on" not in whole.out


def test_what_stands_against_cutting_is_the_first_thing_told(calfskin):
    """A tape of half the girth: 250 mm is the scan's, and measuring is all that was asked for."""
    sound = calfskin("measure", SCAN, *KNOWN)
    ended = calfskin("measure", SCAN, *KNOWN, "--tape", "125 mm")
    assert (sound.code, ended.code) == (0, 0)
    assert not sound.out.startswith("Nothing is to be cut")
    first, second, *_ = ended.out.splitlines()
    assert first.startswith("Nothing is to be cut by this scan as it is")
    assert second.startswith("  1. By the tape at the widest place the limb is ")


def test_the_numbers_are_those_of_the_report(calfskin):
    ended = calfskin("measure", SCAN, *KNOWN, "--json")
    numbers = json.loads(ended.out)
    assert set(numbers) == {"scan", "limb"}
    assert numbers["limb"]["girths"][0].keys() == {"name", "height", "girth"}


def test_a_picture_that_cannot_be_written_is_one_sentence(calfskin, tmp_path):
    (tmp_path / "file").write_text("x")
    ended = calfskin("measure", SCAN, *KNOWN, "--picture", tmp_path / "file" / "found.png")
    assert ended.code == 1
    assert "cannot be written to" in ended.err


def test_several_limbs_are_listed_with_lines_to_paste_and_drawn(calfskin, listed, tmp_path):
    figure = cropped("pair of legs")
    path = tmp_path / "legs.ply"
    path.write_bytes(ply_bytes(figure.points, figure.faces))
    ended = calfskin("measure", path, "--unit", "mm", "--picture", tmp_path / "legs.png")
    assert ended.code == 1
    assert "the person's right leg, seen on the left" in ended.err
    assert listed(tmp_path) == ["legs.ply", "legs.png"]
    with Image.open(tmp_path / "legs.png") as picture:
        assert min(picture.size) > 1000


def test_a_front_that_is_not_shown_is_asked_for_with_lines_to_paste(calfskin, tmp_path):
    sleeve = trimesh.creation.cylinder(radius=40.0, height=260.0, sections=90).subdivide_to_size(8.0)
    sleeve.export(tmp_path / "sleeve.ply")
    known = ("--limb", "forearm", "--side", "right", "--unit", "mm")
    ended = calfskin("measure", tmp_path / "sleeve.ply", *known)
    assert ended.code == 1
    first, *lines = ended.err.splitlines()
    assert "click it on the page (calfskin page)" in first
    fronts = [tomllib.loads(line)["front"] for line in lines]
    # Two of the scan's axes, both ways, and not that along the sleeve.
    assert fronts == [[1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0]]


def test_another_limb_is_no_question_of_its_front(calfskin):
    # A scan that ends close above the elbow: one that shows more of the arm may well be meant as an upper arm's.
    forearm = Path(__file__).parents[2] / "meshes" / "harbour_watch_left_forearm.obj"
    ended = calfskin("measure", forearm, "--limb", "upper arm", "--side", "left")
    assert ended.code == 1
    assert "name the limb 'forearm'" in ended.err
    assert "front = [" not in ended.err


def test_no_height_has_two_rows_and_the_bodys_end_is_at_the_top():
    rows = [Girth("ankle", 0.0, 220, 220), Girth("", 0.0, 220, 220), Girth("", 25.0, 230, 230),
            Girth("widest", 25.6, 231, 231), Girth("", 50.0, 229, 229)]  # fmt: skip
    assert [(row.name, row.height) for row in table_rows(rows)] == [("", 50.0), ("widest", 25.6), ("ankle", 0.0)]


def test_the_card_is_written_whole(calfskin, listed, tmp_path):
    ended = calfskin("card", "--out", tmp_path / "card.pdf", "--paper", "Letter")
    assert ended.code == 0
    assert listed(tmp_path) == ["card.pdf"]
    assert (tmp_path / "card.pdf").read_bytes().startswith(b"%PDF")
