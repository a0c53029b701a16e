"""Pairs: both limbs from their own scans, and from the mean of both."""

import io
import json
from dataclasses import replace
from pathlib import Path

import ezdxf
import ezdxf.path
import numpy as np
import pytest
import shapely
import shapely.affinity

import flatten.making
from flatten.advice.judge import UNJUDGED
from flatten.findings import Finding
from flatten.job.errors import JobError
from flatten.job.text import job_from, job_of, job_text, with_paths_from
from flatten.leather.limits import PRESETS, leather_limits
from flatten.leather.messages import verdict_message
from flatten.limb.girths.girth import tape_girth
from flatten.making import finish, lay, limbs_of, make, mean_found
from flatten.report.limbs import job_findings
from flatten.report.messages import headline
from flatten.report.summary import summary_lines
from flatten.report.wearing import fit_message
from flatten.words.say import text, texts
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, limb_of

MESHES = Path(__file__).parent.parent / "meshes"
EASY = {"stretch_along": 0.2, "stretch_across": 0.2, "squeeze_along": 0.1, "squeeze_across": 0.1}
EDGES = {"bottom": "40 mm", "top": "280 mm"}


def job(pair, **table):
    scans = {"scan": {"file": "left.ply"}, "other_scan": {"file": "right.ply"}}
    return job_of({**scans, "edges": EDGES, "piece": {"pair": pair}, **table}, name="the test")


def stouter(h, b):
    return 1.05 * calf(h, b) + 2.0 * np.sin(b)


def outlines(files):
    space = ezdxf.read(io.StringIO(files["pattern.dxf"].decode())).modelspace()
    paths = [ezdxf.path.make_path(e) for e in space.query('LWPOLYLINE[layer=="CUT"]')]
    return [shapely.Polygon([(p.x, p.y) for p in path.flattening(0.001)]) for path in paths], space


def mirror_error(one, other):
    turned = shapely.affinity.scale(other, -1.0, 1.0)
    moved = shapely.affinity.translate(turned, one.bounds[0] - turned.bounds[0], one.bounds[1] - turned.bounds[1])
    return shapely.hausdorff_distance(one.exterior, moved.exterior)


def laid_on(wish, found):
    return lay(design_of(wish, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=8.0)


def test_each_limb_gets_the_piece_of_its_own_scan():
    wish = job("own scan")
    left, right = found_on(limb_of(calf)), found_on(limb_of(stouter), side="right")
    second = laid_on(wish, right)
    limbs = [(left, laid_on(wish, left)), (right, second)]
    result = finish(wish, limbs, text="", announce=lambda step: None)
    files = dict(result.files)
    (one, two), space = outlines(files)
    texts = [text.dxf.text for text in space.query("TEXT")]
    # Where calm places are marked for tooling a label may need two lines.
    sides = ("LEFT", "RIGHT")
    assert all(any(text.startswith(f"{side}, grain") for text in texts) for side in sides)
    # Five in a hundred wider all round: so is the piece, gap, padding and ease apart.
    assert (two.bounds[2] - two.bounds[0]) / (one.bounds[2] - one.bounds[0]) == pytest.approx(1.05, abs=0.01)
    assert mirror_error(one, two) > 3.0
    alone = finish(
        job_of({"scan": {"file": "r.ply", "side": "right"}, "edges": EDGES}, name="t"),
        [(right, second)],
        text="",
        announce=lambda step: None,
    )
    ((piece,), (own,)) = alone.report.limbs[0].pieces, result.report.limbs[1].pieces
    np.testing.assert_array_equal(piece.outline.points, own.outline.points)
    told = json.loads(files["report.json"])
    assert [limb["side"] for limb in told["limbs"]] == ["left", "right"]
    theirs, numbers = second.panels[0].stretch, told["limbs"][1]["panels"][0]
    assert numbers["stretch_max"] == pytest.approx(theirs.largest.stretch, abs=1e-6)
    assert numbers["stretch_min"] == pytest.approx(theirs.smallest.stretch, abs=1e-6)
    assert theirs.smallest.stretch < 1.0 < theirs.largest.stretch
    widest = [f"{tape_girth(found.skin, 240.0):.0f} mm" for found in (right, left)]
    told_widest = "its widest girth is {}, where the left one’s is {}.".format(*widest)
    assert told_widest in files["report.html"].decode()
    assert [piece["side"] for piece in told["pieces"]] == ["left", "right"]
    # Both limbs' eyelets are one line to buy by.
    assert told["hardware"][0]["count"] == 2 * sum(limb["seams"][0]["pairs"] for limb in told["limbs"])
    assert "The right lower leg was scanned too" in files["report.html"].decode()


def test_a_pair_is_over_the_limits_where_one_of_its_limbs_is():
    wish = job("own scan")
    left, right = found_on(limb_of(calf)), found_on(limb_of(stouter), side="right")
    laid = laid_on(wish, left)
    strict = lay(design_of(wish, right), limits=PRESETS["dry"], announce=lambda step: None, edge_length=8.0)
    assert not strict.fits
    result = finish(wish, [(left, laid), (right, strict)], text="", announce=lambda step: None)
    assert not all(panel.stretch.fits for panel in result.report.panels)
    files = dict(result.files)
    page, told = files["report.html"].decode(), json.loads(files["report.json"])
    assert "shin guard, right” stretches up to" in page
    assert text(verdict_message(strict.panels[0].stretch)) in page
    assert told["limbs"][1]["panels"][0]["verdict"] == strict.panels[0].stretch.verdict


def test_what_stands_over_the_report_is_of_the_limb_that_asks_more():
    wish = job("own scan", leather={"limits": EASY})
    left, right = found_on(limb_of(calf)), found_on(limb_of(stouter), side="right")
    limits = leather_limits(wish.leather.limits, folder=Path())
    easy = lay(design_of(wish, left), limits=limits, announce=lambda step: None, edge_length=8.0)
    strict = lay(design_of(wish, right), limits=PRESETS["dry"], announce=lambda step: None, edge_length=8.0)
    report = finish(wish, [(left, easy), (right, strict)], text="", announce=lambda step: None).report
    assert verdict_message(easy.panels[0].stretch) != verdict_message(strict.panels[0].stretch)
    assert headline(report.panels) == verdict_message(strict.panels[0].stretch)


def test_how_the_other_limbs_pieces_are_worn_is_told_by_its_side():
    """Its knee lies 40 mm lower, so that the same top edge lies in its hollow; and it can be closed on other girths."""
    wish = job("own scan")
    left, right = found_on(limb_of(calf), joint=380.0), found_on(limb_of(stouter), side="right", joint=320.0)
    limbs = [(found, laid_on(wish, found)) for found in (left, right)]
    result = finish(wish, limbs, text="", announce=lambda step: None)
    hollow = "An edge lies in the hollow of the knee. Move it out of there, so that the leg can bend."
    cautions = texts(job_findings(result.report))
    assert f"On the right: {hollow}" in cautions
    assert hollow not in cautions
    one, two = (limb.wearing.fit for limb in result.report.limbs)
    widest = [tape_girth(found.skin, 240.0) for found in (left, right)]
    assert two.least - one.least == pytest.approx(widest[1] - widest[0], abs=1e-9)
    words = f"On the right: {text(fit_message(two))}"
    page, lines = dict(result.files)["report.html"].decode(), summary_lines(result.report)
    assert words in page
    assert words in lines
    told = json.loads(dict(result.files)["report.json"])
    assert told["limbs"][0]["wearing"] == told["wearing"]
    assert told["limbs"][1]["wearing"]["motions"][0]["name"] == "bending the knee"
    assert told["limbs"][1]["wearing"]["motions"] != told["wearing"]["motions"]


def test_the_mean_of_two_limbs_gives_two_mirror_images():
    wish = job("mean")
    left, right = found_on(limb_of(calf)), found_on(limb_of(stouter), side="right")
    mean = mean_found(left, right)
    widest = [tape_girth(found.skin, 240.0) for found in (left, right)]
    assert f"at the widest the right one has {widest[1] - widest[0]:.0f} mm more girth" in text(mean.findings[-1])
    assert tape_girth(mean.skin, 240.0) == pytest.approx(np.mean(widest), abs=0.2)
    result = finish(wish, [(mean, laid_on(wish, mean))], text="", announce=lambda step: None)
    (one, two), _ = outlines(dict(result.files))
    assert len(result.report.limbs) == 1
    assert mirror_error(one, two) < 0.01


def test_a_pair_without_the_second_scan_is_refused_and_a_scan_without_a_pair_too():
    with pytest.raises(JobError, match="there is no \\[other_scan\\]"):
        job_of({"scan": {"file": "left.ply"}, "piece": {"pair": "mean"}}, name="the test")
    with pytest.raises(JobError, match="pair is 'mirrored'; write pair = 'own scan' or 'mean'"):
        job("mirrored")
    wish, left = job("own scan"), found_on(limb_of(calf))
    with pytest.raises(JobError, match="only one limb's scan was read"):
        finish(wish, [(left, laid_on(wish, left))], text="", announce=lambda step: None)


def test_the_job_file_keeps_the_second_scan_and_tells_it_from_the_files_folder(tmp_path):
    wish = job("mean")
    assert job_from(job_text(wish), name="again") == wish
    moved = with_paths_from(wish, folder=tmp_path / "jobs", out=tmp_path / "jobs" / "made")
    assert moved.other_scan.file == "../right.ply"


def test_both_shins_of_the_harbour_watch_are_made_and_judged_from_their_own_scans(tmp_path, monkeypatch):
    wish = job_of(
        {
            "scan": {"file": "harbour_watch_left_shin.ply", "side": "left"},
            "other_scan": {"file": "harbour_watch_right_shin.glb"},
            "piece": {"pair": "own scan"},
            "output": {"mesh": "quick"},
        },
        name="the test",
    )
    asked = []

    def judged(job, subjects, **more):
        asked.extend(found.limb.side for found, _ in subjects)
        return UNJUDGED

    monkeypatch.setattr("flatten.making.judge", judged)
    result = make(wish, folder=MESHES, out=tmp_path)
    assert asked == ["left", "right"]
    assert [piece.side for piece in result.report.cut] == ["left", "right"]
    assert result.report.limbs[1].scan.file == "harbour_watch_right_shin.glb"


def sides_of(monkeypatch, *, first, told):
    """The sides of a pair whose first scan's side the job has as `first`, where `told` are the sides that the first and
    the second scan show by themselves (None: neither left nor right), and the codes of what is found on the first."""

    def measured(settings, *, folder, announce):
        shows = told[settings.file == "right.ply"]
        if settings.side != "auto":
            against = shows not in (None, settings.side)
            codes, side = ["limb.side against"] if against else [], settings.side
        else:
            codes, side = ["limb.side told" if shows else "limb.side assumed"], shows or "left"
        found = found_on(limb_of(calf), side=side)
        return replace(found, findings=tuple(Finding(code, severity="look") for code in codes))

    monkeypatch.setattr(flatten.making, "measure", measured)
    wish = job_of(
        {
            "scan": {"file": "left.ply", "side": first},
            "other_scan": {"file": "right.ply"},
            "piece": {"pair": "own scan"},
        },
        name="the test",
    )
    one, other = limbs_of(wish, folder=MESHES, announce=lambda step: None)
    return one.limb.side, other.limb.side, [each.code for each in (*one.findings, *other.findings)]


@pytest.mark.parametrize(
    ("first", "told", "sides", "codes"),
    [
        ("auto", ("right", "left"), ("right", "left"), ["limb.side told"]),
        ("auto", ("right", None), ("right", "left"), ["limb.side told"]),
        ("auto", (None, None), ("left", "right"), ["limb.side assumed"]),
        ("auto", (None, "right"), ("left", "right"), ["limb.side by pair", "limb.side told"]),
        ("auto", (None, "left"), ("right", "left"), ["limb.side by pair", "limb.side told"]),
        ("auto", ("right", "right"), ("right", "left"), ["limb.side told", "limb.side against"]),
        ("left", (None, "left"), ("left", "right"), ["limb.side against"]),
    ],
)
def test_both_sides_of_a_pair_are_named_by_whichever_scan_tells_one(monkeypatch, first, told, sides, codes):
    assert sides_of(monkeypatch, first=first, told=told) == (*sides, codes)
