"""Choices of edges, seams and darts are one change each: what they leave no sense goes back, what is there stays."""

import numpy as np
import pytest
from starlette.testclient import TestClient

from cli.page.app import page_app
from cli.page.dart import DartError, dart_added, dart_line, dart_removed
from cli.page.edge import EdgeError, edge_told, point_added, point_removed
from cli.page.edits import with_values
from cli.page.folder import Folder
from cli.page.follow import sides_of
from cli.page.session import Session, SessionError
from cli.page.updates import Failure, LimbFound, WornReady
from flatten.job.closings import SeamSettings
from flatten.job.errors import JobError
from flatten.job.text import job_from
from flatten.limb.girths.girth import girth_table
from flatten.worn.curves import Dart, Edge
from flatten.worn.defaults import edge
from flatten.worn.panel import CutError
from tests.analytic_jobs import found_on
from tests.limbs import cone, cylinder

BOTTOM = edge("bottom edge", (20.0, 0.0, 20.0, 0.0))
TOP = edge("top edge", (330.0, 300.0, 270.0, 310.0))
AROUND = np.radians(np.arange(0.0, 360.0, 5.0))


def job_with(text="", seam="", dart=""):
    return job_from(f'[scan]\nfile = "leg.ply"\n[[seam]]\nname = "back"\n{seam}\n{dart}\n{text}', name="job")


def seam_set(job, *changes):
    (seam,) = with_values(job, [(["seam", 0, key], value) for key, value in changes]).seam
    return seam


# A seam's kind and what belongs to it


def test_another_kind_of_seam_puts_back_what_it_has_no_sense_for():
    job = job_with(seam='kind = "riveted"\noverlap = "30 mm"\nskive = "auto"\npitch = "40 mm"\non_top = "outside"')
    laced = seam_set(job, ("kind", "laced"))
    assert (laced.overlap, laced.skive, laced.pitch, laced.on_top) == (None, "no", None, "outside")
    stitched = seam_set(job, ("kind", "stitched"))
    assert (stitched.overlap, stitched.skive, stitched.pitch) == (30.0, "auto", None)
    snapped = seam_set(job, ("kind", "snapped"))
    assert (snapped.overlap, snapped.skive) == (30.0, "no")
    assert seam_set(job, ("kind", "riveted")) == job.seam[0]


def test_a_slit_that_is_laced_gets_a_gap_and_a_seam_edge_to_edge_that_is_riveted_an_overlap():
    slit = job_with(seam='kind = "open"\ngap = "0 mm"')
    assert seam_set(slit, ("kind", "laced")).gap == seam_set(slit, ("kind", "strapped")).gap == SeamSettings().gap
    assert seam_set(slit, ("kind", "stitched")).gap == 0.0
    flush = job_with(seam='kind = "stitched"\noverlap = "0 mm"')
    assert seam_set(flush, ("kind", "riveted")).overlap is None


def test_stitches_edge_to_edge_are_not_skived():
    job = job_with(seam='kind = "stitched"\noverlap = "20 mm"\nskive = "1.5 mm"')
    assert seam_set(job, ("overlap", "15 mm")).skive == 1.5
    for none in ("auto", "0 mm"):
        assert seam_set(job, ("overlap", none)).skive == "no"


def test_straps_are_placed_in_one_way_the_last_that_was_chosen():
    job = job_with(seam='kind = "strapped"\nstraps = 3')
    by_height = with_values(job, [(["seam", 0, "at"], ["60 mm", "220 mm"])])
    assert (by_height.seam[0].straps, by_height.seam[0].at) == (None, (60.0, 220.0))
    by_pitch = with_values(by_height, [(["seam", 0, "pitch"], "80 mm")])
    assert (by_pitch.seam[0].straps, by_pitch.seam[0].at, by_pitch.seam[0].pitch) == (None, (), 80.0)
    by_number = with_values(by_pitch, [(["seam", 0, "straps"], 4)])
    assert (by_number.seam[0].straps, by_number.seam[0].pitch) == (4, None)
    usual = with_values(by_number, [(["seam", 0, "straps"], "auto")])
    assert (usual.seam[0].straps, usual.seam[0].at, usual.seam[0].pitch) == (None, (), None)


def test_what_is_refused_is_still_refused():
    job = job_with()
    for path, value in (
        (["seam", 0, "kind"], "glued"),
        (["seam", 0, "overlap"], "20 mm"),
        (["seam", 0, "gap"], "0 mm"),
    ):
        with pytest.raises(JobError):
            with_values(job, [(path, value)])


def test_a_moved_seam_names_no_side_that_it_runs_along():
    job = job_with(seam='kind = "riveted"\non_top = "outside"\nbuckles = "inside"')
    assert sides_of(job.seam[0]) == ["outside", "inside"]
    assert seam_set(job, ("along", 170)).on_top == "outside"
    moved = seam_set(job, ("along", "outside"))
    assert (moved.on_top, moved.buckles) == ("auto", "auto")
    assert sides_of(moved) == ["front", "back"]
    assert seam_set(job, ("along", 135)).on_top == "outside"


def test_a_dart_and_a_slash_are_each_other_with_one_change():
    job = job_with(dart='[[dart]]\nname = "heel"\nclose = "riveted"')
    (slash,) = with_values(job, [(["dart", 0, "kind"], "slash")]).dart
    assert (slash.opening, slash.close) == (10.0, "auto")
    wide = job_with(dart='[[dart]]\nname = "heel"\nkind = "slash"\nopening = "14 mm"')
    (dart,) = with_values(wide, [(["dart", 0, "kind"], "dart")]).dart
    assert (dart.opening, dart.close) == (0.0, "auto")


def test_leather_that_is_not_hardened_is_not_cut_larger_for_it():
    job = job_with('[leather]\nhardened = true\nhardening = "5 %"')
    softened = with_values(job, [(["leather", "hardened"], False)])
    assert softened.leather.hardening == job_with().leather.hardening
    assert with_values(job, [(["wear", "ease"], "9 mm")]).leather == job.leather


# An edge in another way


def heights_of(job, name, limb_edge):
    """The edge that a job's table makes, as `resolve` makes it; its automatic heights are those of `limb_edge`."""
    given = getattr(job.edges, name)
    if given.points:
        bearings, heights = np.array(given.points).T
        return Edge(name, np.radians(bearings), heights).height(AROUND)
    return limb_edge.height(AROUND)


@pytest.mark.parametrize("name", ["top", "bottom"])
def test_an_edge_becomes_points_and_heights_and_stays_where_it_was(name):
    before = TOP if name == "top" else BOTTOM
    pointed = edge_told(job_with(), name, "points", edge=before)
    np.testing.assert_allclose(heights_of(pointed, name, None), before.height(AROUND), atol=0.06)
    told = edge_told(pointed, name, "heights", edge=before)
    given = getattr(told.edges, name)
    assert not given.points
    quarters = [given.front, given.outside, given.back, given.inside]
    np.testing.assert_allclose(quarters, before.heights, atol=0.06)
    other = "bottom" if name == "top" else "top"
    assert getattr(told.edges, other) == getattr(job_with().edges, other)


@pytest.mark.parametrize(
    ("way", "height", "by"), [("straight", 302.5, None), ("swept", 330.0, 60.0), ("arched", 305.0, None)]
)
def test_a_shape_takes_the_heights_that_the_edge_has(way, height, by):
    given = edge_told(job_with(), "top", way, edge=TOP).edges.top
    # The top is as high in front and behind, on average, as 5 mm below its sides' mean: it cannot be arched by that.
    assert (given.shape, given.height, given.by) == (way, pytest.approx(height), by)
    arched = edge_told(job_with(), "bottom", "arched", edge=BOTTOM).edges.bottom
    assert (arched.height, arched.by) == (0.0, 20.0)


def test_an_edge_as_usual_says_nothing():
    job = job_with('[edges]\ntop = "300 mm"')
    assert edge_told(job, "top", "auto", edge=TOP) == job_with()
    with pytest.raises(EdgeError, match="not told by 'wavy'"):
        edge_told(job, "top", "wavy", edge=TOP)
    with pytest.raises(EdgeError, match="no left edge"):
        edge_told(job, "left", "auto", edge=TOP)


def test_a_point_more_is_passed_through_and_the_others_stay():
    job = point_added(job_with(), "top", bearing=-45.0, height=325.0, edge=TOP)
    assert job.edges.top.points == ((0.0, 330.0), (90.0, 300.0), (180.0, 270.0), (270.0, 310.0), (315.0, 325.0))
    fewer = point_removed(job, "top", 1)
    assert fewer.edges.top.points == ((0.0, 330.0), (180.0, 270.0), (270.0, 310.0), (315.0, 325.0))


def test_points_that_are_one_and_the_last_two_are_refused():
    with pytest.raises(EdgeError, match="a point there already"):
        point_added(job_with(), "top", bearing=359.0, height=325.0, edge=TOP)
    job = job_with('[edges]\nbottom = { points = [[0, "40 mm"], [180, "50 mm"]] }')
    with pytest.raises(EdgeError, match="two points must stay"):
        point_removed(job, "bottom", 0)
    for number in (2, -1):
        with pytest.raises(EdgeError, match="has no point"):
            point_removed(job, "bottom", number)


# Darts


@pytest.mark.parametrize(
    ("height", "bearing", "edge_name"), [(310.0, 10.0, "top"), (30.0, 10.0, "bottom"), (-40.0, 100.0, "bottom")]
)
def test_a_dart_is_added_from_the_nearer_edge_where_the_maker_points(height, bearing, edge_name):
    (dart,) = dart_added(job_with(), bearing=bearing, height=height, bottom=BOTTOM, top=TOP).dart
    assert (dart.edge, dart.along, dart.depth, dart.kind, dart.name) == (edge_name, bearing, 60.0, "dart", "dart")


def test_on_short_leather_a_new_dart_is_less_deep_and_its_name_is_its_own():
    top = edge("top edge", (100.0, 100.0, 100.0, 100.0))
    job = job_with(dart='[[dart]]\nname = "dart"\n[[dart]]\nname = "dart 2"')
    added = dart_added(job, bearing=-30.0, height=90.0, bottom=BOTTOM, top=top)
    assert (added.dart[2].name, added.dart[2].along, added.dart[2].depth) == ("dart 3", 330.0, 35.0)
    assert dart_removed(added, 2) == job
    for number in (3, -1):
        with pytest.raises(DartError, match="no dart"):
            dart_removed(added, number)
    with pytest.raises(DartError, match="too short"):
        dart_added(job, bearing=0.0, height=50.0, bottom=BOTTOM, top=edge("top edge", (50.0,) * 4))


@pytest.mark.parametrize("edge_name", ["top", "bottom"])
def test_a_dart_is_drawn_from_its_edge_as_deep_as_it_is(edge_name):
    # On a cone of slope 0.1, 70 mm along the leather are 70 / √1.01 mm of height.
    own = BOTTOM if edge_name == "bottom" else TOP
    line = dart_line(cone(), Dart("cut", "slash", edge_name, 0.6, 70.0, 8.0), own)
    start, inward = float(own.height(0.6)), 1.0 if edge_name == "bottom" else -1.0
    assert line["height"] == pytest.approx(start + inward * 70.0 / np.sqrt(1.01), abs=0.02)
    points = np.array(line["points"])
    assert np.linalg.norm(points[0] - points[-1]) == pytest.approx(8.0, abs=0.05)
    assert np.arctan2(*points[0, [1, 0]]) < 0.6 < np.arctan2(*points[-1, [1, 0]])
    np.testing.assert_allclose(points[len(points) // 2], line["at"], atol=0.01)
    slit = np.array(dart_line(cylinder(), Dart("cut", "dart", edge_name, 0.6, 70.0), own)["points"])
    np.testing.assert_allclose(np.linalg.norm(np.diff(slit, axis=0), axis=1).sum(), 70.0, atol=0.1)


# On the bench


@pytest.fixture
def session(tmp_path, idle):
    """A bench on which a cylinder has been found to be a leg, and dressed."""
    session = Session(Folder(tmp_path / "bench"))
    session.take_text('[scan]\nfile = "leg.ply"\n[edges]\nbottom = "20 mm"\ntop = "300 mm"\n', sent_name="job.toml")
    found = found_on(cylinder())
    girths = tuple(girth_table(found.limb, found.skin))
    session.state.limb = LimbFound(found.scan, found.limb, found.skin, girths, (), b"")
    session.state.worn, session.state.payloads["worn"] = WornReady(found.skin), 1
    return session


@pytest.fixture
def client(session):
    return TestClient(page_app(session), headers={"origin": "http://testserver"})


def test_a_dart_is_set_where_there_is_room_and_nowhere_else(session):
    session.add_dart(100.0, 280.0)
    before = session.state.job
    for bearing in (180.0, 170.0, 105.0):
        with pytest.raises(CutError, match=r"in the gap|of a seam|of dart"):
            session.add_dart(bearing, 280.0)
    with pytest.raises(CutError, match="deep"):
        session.change([(["dart", 0, "depth"], "270 mm")])
    assert session.state.job is before
    session.undo()
    assert session.state.job.dart == ()


def test_a_seam_is_added_where_it_leaves_the_darts_their_room(session):
    session.change([(["seam", 0, "buckles"], "outside")])
    session.add_dart(5.0, 280.0)
    session.add_seam()
    assert [(seam.name, seam.buckles) for seam in session.state.job.seam] == [("back", "outside"), ("outside", "auto")]


def test_a_dart_that_has_come_to_lie_wrong_can_be_moved_step_by_step(session):
    session.add_dart(100.0, 280.0)
    session.add_dart(20.0, 280.0)
    session.change([(["seam", 0, "along"], 60)])
    session.state.failure = Failure("a dart lies in the gap", "darts")
    session.change([(["dart", 0, "along"], 62)])
    session.remove_dart(0)
    assert [dart.along for dart in session.state.job.dart] == [20.0]


def test_edges_and_darts_are_asked_for_by_their_addresses(session, client):
    told = session.state.job.edges.top
    for asked in ("tell-edge?edge=top&way=points", "add-edge-point?edge=top&bearing=-45&height=310"):
        assert client.post(f"/do/{asked}").status_code == 200
    assert session.state.job.edges.top.points[-1] == (315.0, 310.0)
    assert client.post("/do/remove-edge-point?edge=top&point=4").status_code == 200
    assert client.post("/do/tell-edge?edge=top&way=heights").status_code == 200
    assert session.state.job.edges.top == told
    assert client.post("/do/add-dart?bearing=100&height=40").status_code == 200
    line = client.post("/curves", content="[]").json()["darts"]
    assert [(dart["edge"], dart["start"], dart["bearing"]) for dart in line] == [("bottom", 20.0, 100.0)]
    assert client.post("/do/remove-dart?dart=0").status_code == 200
    assert session.state.job.dart == ()


@pytest.mark.parametrize(
    "asked",
    [
        "tell-edge?edge=top&way=wavy",
        "tell-edge?edge=left&way=auto",
        "tell-edge",
        "add-edge-point?edge=top&bearing=nan&height=3",
        "add-edge-point?edge=top",
        "remove-edge-point?edge=top&point=-1",
        "add-dart?bearing=1e999&height=3",
        "remove-dart?dart=7",
    ],
)
def test_what_makes_no_sense_is_a_sentence_and_changes_nothing(session, client, asked):
    before = session.state.job
    answer = client.post(f"/do/{asked}")
    assert answer.status_code in (409, 422)
    assert answer.json()["sentence"].endswith(".")
    assert session.state.job is before


def test_before_the_limb_is_found_nothing_is_pointed_to(session):
    session.state.limb = None
    with pytest.raises(SessionError, match="not found yet"):
        session.add_dart(100.0, 280.0)
