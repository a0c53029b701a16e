"""Fittings and mock-ups from the job to the files: against closed forms, in a row, and where nothing changes."""

import io
import json
import subprocess
from dataclasses import replace

import ezdxf
import numpy as np
import pytest
import shapely
import shapely.affinity

from flatten.job.fitted import fitting_findings
from flatten.job.mockup import mockup_of, sheet_of
from flatten.job.pieces import dressed, pieces_of, worn_as
from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.leather.materials import MATERIALS
from flatten.limb.girths.girth import section_girth
from flatten.making import finish, lay
from flatten.pattern.path import polyline
from flatten.report.fittings import laid_over
from flatten.report.mockup import mockup_numbers, unclosed_messages
from flatten.steps import quietly
from flatten.words import say
from flatten.worn.neutral import neutral_surface
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, cone, cylinder, limb_of
from tests.test_widths import GAP, LEVEL, outlines

T, EASE, UNDER = 3.2, 8.0, 3.0
MESH = 7.0
"""mm. Edges of the meshes that most of these limbs are cut from: coarse, for they are simple."""

DRAWINGS = ("pattern.dxf", "pattern.svg", "pattern.pdf")
MOCKUPS = ("mockup.dxf", "mockup.pdf")


def showed(*sentences, **keys):
    return {"showed": list(sentences), **keys}


def job(*fittings, side="left", edges=LEVEL, **tables):
    scan = {"file": "made-up.ply", "side": side}
    table = {"scan": scan, "seam": [{"gap": f"{GAP} mm"}], "edges": edges, "fitting": list(fittings), **tables}
    return job_of(table, name="the test")


def made(skin, *fittings, mesh=MESH, **tables):
    wish = job(*fittings, **tables)
    found = found_on(skin, side=wish.scan.side)
    laid = lay(design_of(wish, found), limits=PRESETS["cased"], announce=quietly, edge_length=mesh)
    return finish(wish, [(found, laid)], text="", announce=quietly)


def width_at(piece, height):
    x0, y0, x1, _ = piece.bounds
    y = y0 + height - 20.0
    return piece.intersection(shapely.LineString([(x0 - 1, y), (x1 + 1, y)])).length


def girth_of(thickness, *, radius=60.0):
    """Girth of the mid-line of a sheet on a cylinder, 2π(r + under + ease/2π + t/2)."""
    return 2 * np.pi * (radius + UNDER + 0.5 * thickness) + EASE


def cut(skin, *fittings, mesh=MESH, **tables):
    """The outlines alone that such a job cuts."""
    wish = job(*fittings, **tables)
    laid = lay(
        design_of(wish, found_on(skin, side=wish.scan.side)),
        limits=PRESETS["cased"],
        announce=quietly,
        edge_length=mesh,
    )
    return [polygon(piece) for piece in pieces_of(laid).cut]


def polygon(piece):
    return shapely.Polygon(polyline(piece.outline, 0.01))


PAIR = {"piece": {"pair": "mirrored"}, "mockup": {"material": "paper"}}
"""A mirrored pair, with a mock-up in paper."""


@pytest.fixture(scope="module")
def plain():
    """A pair on the cylinder, nothing tried on."""
    return made(cylinder(60.0), **PAIR)


@pytest.fixture(scope="module")
def fitted():
    """The same, after a fitting of the one that is the mirror image."""
    return made(cylinder(60.0), showed("tight by 6 mm", side="right"), **PAIR)


def short(girth, *, mesh=MESH):
    """What chords of a mesh's edges are short of a circle's girth by, mm: (edge · 2π / girth)² / 24 of it."""
    return (mesh * 2 * np.pi / girth) ** 2 / 24 * girth


def test_a_corrected_pattern_on_a_cylinder_is_its_corrected_girth_on_both_of_a_pair(fitted):
    wanted = girth_of(T) + 6.0
    pieces = outlines(dict(fitted.files)["pattern.dxf"])
    assert len(pieces) == 2
    for piece in pieces:
        for height in (30.0, 150.0, 290.0):
            assert width_at(piece, height) + GAP == pytest.approx(wanted - short(wanted), abs=0.1)


def test_a_corrected_pattern_on_a_cone_is_the_sector_of_its_corrected_girths():
    slope, change = 0.1, 6.0
    (piece,) = cut(cone(40.0, slope), showed("tight by 6 mm all over"), mesh=5.0)
    slant = np.hypot(1.0, slope)
    away = (UNDER + T / 2 + (EASE + change) / (2 * np.pi)) * slant
    apex = (40.0 + slope * 20.0 + away) / slope * slant
    x = 0.5 * (piece.bounds[0] + piece.bounds[2])
    bottom = piece.intersection(shapely.LineString([(x, -1e4), (x, 1e4)])).bounds[1]
    turn = np.linspace(-1.0, 1.0, 20001)
    for height in (30.0, 160.0, 290.0):
        far = apex + (height - 20.0) * slant
        arc = shapely.LineString(np.column_stack([x + far * np.sin(turn), bottom - apex + far * np.cos(turn)]))
        wanted = 2 * np.pi * (40.0 + slope * height + away)
        assert piece.intersection(arc).length + GAP == pytest.approx(wanted - short(wanted, mesh=5.0), abs=0.1)


def test_a_side_that_is_tight_gets_its_girth_and_left_and_right_are_mirror_images():
    left, right = (
        cut(cylinder(60.0), showed("tight by 8 mm on the outside"), side=side)[0] for side in ("left", "right")
    )
    # The bump's own slope adds ∫ offset'² / 2r, 0.2 mm.
    assert width_at(left, 150.0) + GAP == pytest.approx(girth_of(T) + 8.0, abs=0.4)
    middle = 0.5 * (right.bounds[0] + right.bounds[2])
    turned = shapely.affinity.scale(right, -1.0, 1.0, origin=(middle, 0.0))
    moved = shapely.affinity.translate(turned, left.bounds[0] - turned.bounds[0], left.bounds[1] - turned.bounds[1])
    assert moved.symmetric_difference(left).area < 0.02 * left.length


def error(height):
    """What a scan's girth is short of the limb's at a height, mm: smooth, and of both signs."""
    return 9.0 * np.exp(-(((height - 230.0) / 80.0) ** 2)) - 5.0 * np.exp(-(((height - 60.0) / 70.0) ** 2))


def inside(skin, *fittings):
    """The surface of the pattern after such fittings."""
    return neutral_surface(skin, design_of(job(*fittings), found_on(skin)).wear).surface


def off(wanted, now, heights):
    """How far a pattern's girths are short at heights, mm."""
    return np.array([section_girth(wanted, height) - section_girth(now, height) for height in heights])


def told(short_by, heights):
    """What a maker reads with a tape, to the millimetre."""
    return showed(
        *(
            f"{'tight' if mm > 0 else 'loose'} by {abs(round(mm))} mm at {h:g} mm"
            for mm, h in zip(short_by, heights, strict=True)
        )
    )


def test_two_fittings_in_a_row_bring_the_girths_to_what_a_maker_can_read():
    skin = limb_of(calf)
    wanted = inside(limb_of(lambda h, b: calf(h, b) + error(h) / (2 * np.pi)))
    places = (25.0, 60.0, 110.0, 160.0, 200.0, 230.0, 265.0, 295.0)
    between = np.linspace(25.0, 295.0, 28)
    now = inside(skin)
    first = told(off(wanted, now, places), places)
    once = inside(skin, first)
    second = told(off(wanted, once, places), places)
    twice = inside(skin, first, second)
    assert np.abs(off(wanted, now, places)).max() > 6.0
    # What was read is met: within half a millimetre of rounding, and what a leaning skin makes of it, 2 % of 9 mm.
    assert np.abs(off(wanted, once, places)).max() < 0.5 + 0.2
    assert np.abs(off(wanted, twice, places)).max() < 0.5 + 0.1
    assert np.abs(off(wanted, once, between)).max() < 1.2
    assert np.abs(off(wanted, twice, between)).max() < 1.2


def test_a_fitting_that_changes_nothing_changes_no_byte_of_the_drawings(plain, fitted):
    nothing = showed("fits", "fits at the widest", "tight by 0 mm at the top", "top edge 0 mm too high behind")
    same = made(cylinder(60.0), nothing, showed(), **PAIR)
    for name in (*DRAWINGS, *MOCKUPS):
        assert dict(plain.files)[name] == dict(same.files)[name], name
        assert dict(plain.files)[name] != dict(fitted.files)[name], name
    assert plain.report.limbs[0].before is same.report.limbs[0].before is None
    assert fitted.report.limbs[0].before is not None


def test_a_mock_up_is_written_beside_leather_that_stays_as_it_is(plain):
    bare = made(cylinder(60.0), piece={"pair": "mirrored"})
    names = [name for name, _ in plain.files]
    assert [name for name, _ in bare.files] == [name for name in names if name not in MOCKUPS]
    assert set(MOCKUPS) < set(names)
    assert all(dict(plain.files)[name] == dict(bare.files)[name] for name in DRAWINGS)


def mockup(skin, *, mesh=MESH, **tables):
    """The mock-up alone of a job."""
    wish = job(**tables)
    return mockup_of(design_of(wish, found_on(skin)), sheet_of(wish), edge_length=mesh)


@pytest.mark.parametrize(
    ("keys", "thickness"),
    [({"material": name}, material.thickness) for name, material in MATERIALS.items()]
    + [({"material": "foam", "thickness": "8 mm"}, 8.0)],
)
def test_a_mock_up_on_a_cylinder_is_its_own_mid_line(keys, thickness):
    (sheet,) = mockup(cylinder(60.0), mockup=keys).pieces
    wanted = girth_of(thickness)
    assert width_at(polygon(sheet), 150.0) + GAP == pytest.approx(wanted - short(wanted), abs=0.1)
    assert sheet.thickness == thickness


def texts(content):
    drawing = ezdxf.read(io.StringIO(content.decode()))
    return [entity.dxf.text for entity in drawing.modelspace().query("TEXT")]


def test_a_mock_up_says_on_every_piece_and_sheet_that_it_is_not_for_leather(plain, tmp_path):
    files = dict(plain.files)
    written = texts(files["mockup.dxf"])
    assert "made-up: MOCK-UP, PAPER 0.2 mm, not for leather" in written
    assert sum(text.startswith("MOCK-UP, PAPER 0.2 mm") for text in written) == 2
    assert written.count("up") == 2
    assert not any("grain" in text or text.startswith("leather 0") for text in written)
    assert {"LEFT, outside up", "RIGHT, outside up"} <= set(written)
    assert "MOCK-UP" not in files["pattern.svg"].decode()
    (tmp_path / "mockup.pdf").write_bytes(files["mockup.pdf"])
    read = subprocess.run(["pdftotext", tmp_path / "mockup.pdf", "-"], capture_output=True, text=True, check=True)
    *pages, _ = (" ".join(page.split()) for page in read.stdout.split("\f"))
    assert len(pages) > 2
    assert all("MOCK-UP, PAPER 0.2 mm, not for leather" in page for page in pages)
    assert "Paper closes everywhere within a" in pages[0]
    assert "[[fitting]]" in pages[0]
    assert "Paper closes everywhere within a millimetre." in files["report.html"].decode()


def test_where_paper_cannot_close_on_a_leg_is_told():
    found = mockup(limb_of(calf), mockup={"material": "paper"})
    told = say.texts(unclosed_messages(found))
    assert len(told) == 1 + len(found.unclosed[0]) > 3
    assert told[0].startswith("Where paper cannot close: it gives 0.5 % at most, and the limb is curved both ways")
    assert len(unclosed_messages(found, most=2)) == 3
    numbers = mockup_numbers(found)
    assert (numbers["material"], numbers["thickness"], numbers["gives"]) == ("paper", 0.2, 0.005)
    assert numbers["unclosed"][0]["short"] == found.unclosed[0][0].short
    # Felt gives more, and closes in more places.
    assert len(mockup(limb_of(calf), mockup={"material": "felt"}).unclosed[0]) < len(found.unclosed[0])


def test_a_symmetrical_pieces_mock_up_has_two_equal_halves():
    lopsided = limb_of(lambda h, b: calf(h, b) + 2.0 * np.sin(b))
    (sheet,) = mockup(lopsided, mockup={"material": "paper"}, piece={"symmetry": "centre line"}).pieces
    whole = polygon(sheet)
    middle = 0.5 * (whole.bounds[0] + whole.bounds[2])
    turned = shapely.affinity.scale(whole, -1.0, 1.0, origin=(middle, 0.0))
    assert whole.symmetric_difference(turned).area < 1.0


def test_the_report_tells_what_each_fitting_changed_and_draws_it():
    fittings = (
        showed("tight by 6 mm at the widest", "top edge 12 mm too high behind"),
        showed("fits", pattern="leather"),
    )
    result = made(cylinder(60.0), *fittings)
    numbers = json.loads(dict(result.files)["report.json"])
    one, two = numbers["fittings"]
    changes = {row["name"]: row["change"] for row in one["girths"]}
    assert changes["widest"] == pytest.approx(6.0)
    assert one["edges"] == [{"edge": "top", "up": -12.0, "bearing": pytest.approx(np.pi)}]
    assert two["converted"] == pytest.approx(np.pi * (T - 0.2))
    assert all(row["change"] == pytest.approx(two["converted"]) for row in two["girths"])
    page = dict(result.files)["report.html"].decode()
    for words in (
        "Fitting 1, in paper 0.2 mm: “tight by 6 mm at the widest”; “top edge 12 mm too high behind”.",
        "Fitting 1 put the top edge 12 mm lower at the back.",
        "its inside 9.4 mm of girth further out than the leather’s: as much was added in the leather",
        "Dashed: the pieces before any fitting.",
    ):
        assert words in page
    assert page.count('class="before"') == 1
    whose = [found["text"] for found in numbers["findings"] if found["code"] == "fitting.whose pattern"]
    assert len(whose) == 1
    assert 'pattern = "leather" there: that is 9 mm of girth' in whose[0]


def test_the_piece_before_lies_over_the_piece_now_as_a_maker_would_lay_it():
    result = made(cylinder(60.0), showed("tight by 6 mm", "top edge 10 mm too low"), side="right")
    limb = result.report.limbs[0]
    old = laid_over(limb.before.pieces[0], (limb.before.flats[0], limb.panels[0].flat), mirrored=True)
    (now,) = outlines(dict(result.files)["pattern.dxf"])
    piece = limb.pieces[0].outline.points
    assert old[:, 0].min() - piece[:, 0].min() == pytest.approx(3.0, abs=0.3)
    assert piece[:, 0].max() - old[:, 0].max() == pytest.approx(3.0, abs=0.3)
    assert piece[:, 1].max() - old[:, 1].max() == pytest.approx(10.0, abs=0.5)
    assert old[:, 1].min() == pytest.approx(piece[:, 1].min(), abs=0.5)
    assert now.area > shapely.Polygon(old).area
    # However the piece lay before, it is turned and moved to lie as it does now.
    was, piece, angle = limb.before.flats[0], limb.before.pieces[0], 0.4
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    # On a right limb pieces are the mirror images of their panels.
    mirror = np.diag([-1.0, 1.0])
    uv = (was.uv @ mirror @ turn + [30.0, -20.0]) @ mirror
    path = replace(piece.outline, points=piece.outline.points @ turn + [30.0, -20.0])
    aside = (replace(was, uv=uv), limb.panels[0].flat)
    again = laid_over(replace(piece, outline=path), aside, mirrored=True)
    np.testing.assert_allclose(again, old, atol=1e-6)


def test_leather_that_fittings_put_into_the_limb_is_told():
    wish = job(showed("loose by 40 mm at the widest"), mockup={"material": "paper"})
    (found,) = fitting_findings(wish, design_of(wish, found_on(cylinder(60.0))))
    assert found.code == "fitting.inside scan"
    # 40 mm of girth are 6.37 mm; 3 mm of padding and 8 mm of ease leave 2.09 mm inside the skin.
    assert found.figures["depth"] == pytest.approx((40.0 - 8.0) / (2 * np.pi) - 3.0, abs=0.02)
    assert found.place.height == pytest.approx(240.0, abs=3.0)
    # What was worn for the scan is no skin, and a lining is inside the leather.
    for more, over in (({"lining": {"thickness": "1 mm"}}, 0.0), ({}, 1.0)):
        other = job(showed("loose by 40 mm at the widest"), mockup={"material": "paper"}, **more)
        other = other.model_copy(update={"scan": other.scan.model_copy(update={"over": over})})
        (again,) = fitting_findings(other, design_of(other, found_on(cylinder(60.0))))
        assert again.figures["depth"] == pytest.approx(found.figures["depth"], abs=1e-6)
    less = job(showed("loose by 20 mm at the widest"), mockup={"material": "paper"})
    assert fitting_findings(less, design_of(less, found_on(cylinder(60.0)))) == ()


def test_girths_that_the_piece_closes_on_are_those_of_the_limb_as_fitted():
    def worn(*fittings, **tables):
        design = design_of(job(*fittings, **tables), found_on(cylinder(60.0)))
        return worn_as(design, dressed(design).surface)

    plain, fitted, flexed = worn(), worn(showed("tight by 6 mm")), worn(wear={"flexed": "6 mm"})
    for other in (fitted, flexed):
        assert other.fit.least - plain.fit.least == pytest.approx(6.0)
        assert other.fit.most - plain.fit.most == pytest.approx(6.0)
    assert fitted.catch == pytest.approx(plain.catch, abs=0.01)
    # A muscle that swells is no hold for a piece: what its room adds at the widest is taken off what catches.
    share = 60.0 / 120.0
    at_the_top = 6.0 * (1.0 - share**3 * (10.0 - 15.0 * share + 6.0 * share**2))
    assert flexed.catch == pytest.approx(plain.catch - at_the_top, abs=0.05)
