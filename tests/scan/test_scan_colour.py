"""A scan keeps the colours of its points through cleaning, whatever file brought them."""

import io

import numpy as np
import pytest
import trimesh
from PIL import Image

from flatten.scan import colour
from flatten.scan.colour import UNCOLOURED, colours_at, colours_of
from flatten.scan.read import read_scan
from flatten.scan.scale import scaled
from flatten.words.say import text


def tube():
    """A closed tube of 60 mm radius and 300 mm height, and colours that tell where a vertex lies."""
    shape = trimesh.creation.capsule(height=300.0, radius=60.0, count=[24, 24])
    mesh = trimesh.Trimesh(*trimesh.remesh.subdivide_to_size(shape.vertices, shape.faces, 15.0))
    # Whole numbers, so that no file's 32-bit floats round a colour the other way.
    mesh.vertices = np.round(mesh.vertices)
    return mesh, told(mesh.vertices)


def told(vertices):
    """Red tells x, green y, blue z, one step a millimetre and (along z) every two."""
    return np.round(np.asarray(vertices) * [1.0, 1.0, 0.5] + [100.2, 100.2, 120.2]).astype(np.uint8)


def saved(path, mesh, kind):
    data = mesh.export(file_type=kind)
    path = path / f"marked.{kind}"
    path.write_bytes(data.encode() if isinstance(data, str) else data)
    return path


@pytest.mark.parametrize("kind", ["ply", "obj", "glb"])
def test_colours_at_vertices_come_through(tmp_path, kind):
    mesh, colours = tube()
    mesh.visual.vertex_colors = np.column_stack([colours, np.full(len(colours), 255, np.uint8)])
    # A speck that cleaning leaves out, so that the points are fewer than the file's.
    speck = trimesh.creation.icosphere(radius=15.0, subdivisions=1)
    speck.apply_translation([0.0, 150.0, 0.0])
    speck.visual.vertex_colors = [255, 0, 0, 255]
    whole = trimesh.util.concatenate([mesh, speck])
    scan = read_scan(saved(tmp_path, whole, kind), unit="mm")
    assert len(scan.points) < len(whole.vertices)
    np.testing.assert_array_equal(scan.colours, told(scan.points))
    assert not scan.colours.flags.writeable
    assert scaled(scan, 1.1).colours is scan.colours


def test_a_cloud_of_points_keeps_its_colours(tmp_path):
    mesh, _ = tube()
    points = mesh.vertices
    cloud = trimesh.PointCloud(points, colors=np.column_stack([told(points), np.full(len(points), 255)]))
    scan = read_scan(saved(tmp_path, cloud, "ply"), unit="mm")
    np.testing.assert_array_equal(scan.colours, told(scan.points))


def test_a_picture_inside_a_glb_is_looked_up_where_the_vertices_lie_on_it(tmp_path):
    mesh, _ = tube()
    across = (mesh.vertices[:, 2] + 210.0) / 420.0
    ramp = np.tile(np.arange(256, dtype=np.uint8)[None, :, None], (4, 1, 3))
    material = trimesh.visual.material.PBRMaterial(baseColorTexture=Image.fromarray(ramp))
    uv = np.column_stack([across, np.full(len(across), 0.5)])
    painted = trimesh.Trimesh(
        mesh.vertices, mesh.faces, process=False, visual=trimesh.visual.TextureVisuals(uv=uv, material=material)
    )
    scan = read_scan(saved(tmp_path, painted, "glb"), unit="mm")
    # The picture is a ramp of grey: at u it shows 255 u, to the nearest pixel.
    assert np.ptp(scan.points[:, 2]) == pytest.approx(420.0, abs=1.0)
    wanted = (scan.points[:, 2:] + 210.0) / 420.0 * 255.0
    assert np.abs(scan.colours - wanted).max() <= 1.0


def test_no_colours_are_none_and_parts_without_are_grey(tmp_path):
    mesh, colours = tube()
    assert read_scan(saved(tmp_path, mesh, "ply"), unit="mm").colours is None
    marked = mesh.copy()
    marked.visual.vertex_colors = np.column_stack([colours, np.full(len(colours), 255, np.uint8)])
    found, repairs = colours_of([mesh, marked])
    assert not repairs
    np.testing.assert_array_equal(found[: len(colours)], np.tile(UNCOLOURED, (len(colours), 1)))
    np.testing.assert_array_equal(found[len(colours) :], colours)


def painted_glb(path):
    """The tube with a picture whose pixels fill two parts of its file."""
    mesh, _ = tube()
    image = io.BytesIO()
    Image.fromarray(np.random.default_rng(0).integers(0, 255, (256, 256, 3), np.uint8)).save(image, "PNG")
    uv = np.column_stack([np.linspace(0, 1, len(mesh.vertices))] * 2)
    material = trimesh.visual.material.PBRMaterial(baseColorTexture=Image.open(image))
    painted = trimesh.Trimesh(
        mesh.vertices, mesh.faces, process=False, visual=trimesh.visual.TextureVisuals(uv=uv, material=material)
    )
    return saved(path, painted, "glb")


@pytest.mark.parametrize("broken", ["pixels", "name of a part"])
def test_a_broken_picture_is_told_and_the_shape_is_read(tmp_path, broken):
    path = painted_glb(tmp_path)
    data = bytearray(path.read_bytes())
    first = data.index(b"IDAT")
    if broken == "pixels":
        # In the middle of the picture's packed pixels: its header still reads.
        data[first + 200 : first + 600] = bytes(400)
    else:
        second = data.index(b"IDAT", first + 4)
        data[second : second + 4] = bytes(4)
    path.write_bytes(data)
    scan = read_scan(path, unit="mm")
    assert scan.colours is None
    assert [repair.code for repair in scan.repairs if repair.code == "scan.colours"] == ["scan.colours"]
    assert len(scan.points) > 500


def test_colours_beside_a_picture_go_before_it_and_shares_of_one_are_steps_of_255():
    mesh, _ = tube()
    shares = np.tile([0.0, 0.2, 1.0, 1.0], (len(mesh.vertices), 1))
    material = trimesh.visual.material.PBRMaterial(baseColorTexture=Image.new("RGB", (4, 4), (9, 9, 9)))
    mesh.visual = trimesh.visual.TextureVisuals(uv=np.zeros((len(shares), 2)), material=material)
    assert (colours_of([mesh])[0] == 9).all()
    mesh.visual.vertex_attributes["color"] = shares
    assert (colours_of([mesh])[0] == [0, 51, 255]).all()


def test_a_picture_of_too_many_pixels_is_left_alone_and_told(monkeypatch):
    mesh, _ = tube()
    material = trimesh.visual.material.PBRMaterial(baseColorTexture=Image.new("RGB", (8, 4)))
    mesh.visual = trimesh.visual.TextureVisuals(uv=np.zeros((len(mesh.vertices), 2)), material=material)
    monkeypatch.setattr(colour, "MOST_PIXELS", 32)
    assert colours_of([mesh])[1] == []
    monkeypatch.setattr(colour, "MOST_PIXELS", 31)
    found, (repair,) = colours_of([mesh])
    assert found is None
    assert "(8 × 4 pixels)" in text(repair)


def test_a_vertex_without_a_position_takes_no_other_ones_colour():
    vertices = np.array([[0.0, 0, 0], [np.nan, 0, 0], [5.0, 0, 0], [9.0, 0, 0]])
    colours = np.arange(12, dtype=np.uint8).reshape(4, 3)
    np.testing.assert_array_equal(colours_at(vertices[[3, 0]], vertices=vertices, colours=colours), colours[[3, 0]])
