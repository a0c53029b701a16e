"""Writes the drawings beside it with other programs' and libraries' writers: a reed and a wave of known size.

python make_drawn.py writes into its folder; cairocffi, drawsvg, dxfwrite, ezdxf, matplotlib and svgwrite are needed.

All show the same, in mm, y up: the wave, five cubic curves of 40 mm along x from (10, 30), 12 mm high; the reed, a
closed line of two half circles of radius 8 mm about (60, 90) and (60, 140) and the straights between; and a ring of
radius 15 mm about (150, 110).
"""

import math
from pathlib import Path

HERE = Path(__file__).parent
WAVE = [
    ((10 + 40 * k, 30), (23 + 40 * k, 30 + s), (37 + 40 * k, 30 + s), (50 + 40 * k, 30))
    for k, s in enumerate([16, -16, 16, -16, 16])
]
K = 4 * (math.sqrt(2) - 1) / 3
WIDE, HIGH = 220, 170


def svgwrite_cm():
    """Page in cm, numbers in tenths of a mm, groups turned and mirrored; a symbol used."""
    import svgwrite

    d = svgwrite.Drawing(HERE / "svgwrite.svg", size=("22cm", "17cm"), viewBox="0 0 2200 1700", debug=False)
    line = {"fill": "none", "stroke": "black", "stroke_width": 5}
    upside = d.g(id="upside", transform="translate(0 1700) scale(10 -10)")
    path = d.path(d=f"M {WAVE[0][0][0]} {WAVE[0][0][1]}", **line)
    for _, b, c, e in WAVE:
        path.push(f"C {b[0]} {b[1]} {c[0]} {c[1]} {e[0]} {e[1]}")
    turned = d.g(transform="rotate(90 60 115)")
    # Turned by a right angle, the reed lies along x: drawn so, it stands again.
    turned.add(d.rect((60 - 33, 115 - 8), (66, 16), rx=8, ry=8, **line))
    upside.add(path)
    upside.add(turned)
    symbol = d.symbol(id="ring", viewBox="0 0 20 20")
    symbol.add(d.circle((10, 10), 10, **line))
    d.defs.add(symbol)
    upside.add(d.use("#ring", (135, 95), (30, 30)))
    d.add(upside)
    d.add(d.text("not a line", (100, 100)))
    d.save()


def drawsvg_mm():
    """Page in mm; relative curves and arcs; nested transforms."""
    import drawsvg

    d = drawsvg.Drawing(WIDE, HIGH, id_prefix="a")
    d.width, d.height = f"{WIDE}mm", f"{HIGH}mm"
    line = {"fill": "none", "stroke": "black"}
    p = drawsvg.Path(**line).M(10, 140)
    for a, b, c, e in WAVE:
        p.c(b[0] - a[0], a[1] - b[1], c[0] - a[0], a[1] - c[1], e[0] - a[0], a[1] - e[1])
    g = drawsvg.Group(transform="translate(60 30) skewX(20) skewX(-20) scale(0.5)")
    # From the reed's upper end, of twice the size.
    q = drawsvg.Path(**line).M(-16, 0).a(16, 16, 0, 0, 1, 32, 0).v(100).a(16, 16, 0, 0, 1, -32, 0).Z()
    g.append(q)
    d.append(p)
    d.append(g)
    d.append(drawsvg.Ellipse(150, 60, 15, 15, **line))
    d.save_svg(str(HERE / "drawsvg.svg"))


def matplotlib_pt():
    """Page in pt, curves as matplotlib writes them, a white area behind."""
    import matplotlib

    matplotlib.use("svg")
    import matplotlib.pyplot as plt
    from matplotlib.patches import Circle, PathPatch
    from matplotlib.path import Path as Curve

    plt.rcParams["svg.hashsalt"] = "reed"
    figure = plt.figure(figsize=(WIDE / 25.4, HIGH / 25.4))
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, WIDE)
    axes.set_ylim(0, HIGH)
    axes.axis("off")
    points, codes = [WAVE[0][0]], [Curve.MOVETO]
    for _, b, c, e in WAVE:
        points += [b, c, e]
        codes += [Curve.CURVE4] * 3
    axes.add_patch(PathPatch(Curve(points, codes), fill=False))
    axes.add_patch(PathPatch(_reed(Curve), fill=False))
    axes.add_patch(Circle((150, 110), 15, fill=False))
    figure.savefig(HERE / "matplotlib.svg", metadata={"Date": None, "Creator": None})


def _reed(Curve):
    r = 8.0
    points, codes = [(52, 90), (52, 140)], [Curve.MOVETO, Curve.LINETO]
    for x, y, s in ((60, 140, 1), (60, 90, -1)):
        for a, b, c in (
            ((x - s * r, y + s * r * K), (x - s * r * K, y + s * r), (x, y + s * r)),
            ((x + s * r * K, y + s * r), (x + s * r, y + s * r * K), (x + s * r, y)),
        ):
            points += [a, b, c]
            codes += [Curve.CURVE4] * 3
        if s == 1:
            points.append((68, 90))
            codes.append(Curve.LINETO)
    points.append((52, 90))
    codes.append(Curve.CLOSEPOLY)
    return Curve(points, codes)


def cairo_pt():
    """Page in pt, by cairo, scaled to mm and turned upside down there."""
    import cairocffi

    per = 72 / 25.4
    s = cairocffi.SVGSurface(str(HERE / "cairo.svg"), WIDE * per, HIGH * per)
    c = cairocffi.Context(s)
    c.set_line_width(1)
    c.scale(per, -per)
    c.translate(0, -HIGH)
    c.move_to(*WAVE[0][0])
    for _, a, b, e in WAVE:
        c.curve_to(*a, *b, *e)
    c.stroke()
    c.new_path()
    c.arc(60, 140, 8, 0, math.pi)
    c.arc(60, 90, 8, math.pi, 2 * math.pi)
    c.close_path()
    c.stroke()
    c.arc(150, 110, 15, 0, 2 * math.pi)
    c.close_path()
    c.stroke()
    s.finish()


def ezdxf_inches():
    """Inches; the wave as a spline, the reed with bulges, in a block that is turned and scaled; a frozen layer."""
    import ezdxf
    from ezdxf.math import Bezier4P, Vec3, bezier_to_bspline

    d = ezdxf.new("R2010")
    d.header["$INSUNITS"] = 1
    d.layers.add("HELP").freeze()
    m = d.modelspace()
    u = 1 / 25.4
    spline = bezier_to_bspline([Bezier4P([Vec3(x * u, y * u, 0) for x, y in part]) for part in WAVE])
    m.add_spline(dxfattribs={"layer": "WAVE"}).apply_construction_tool(spline)
    block = d.blocks.new("REED")
    # Lies along x, 1 long between the middles.
    block.add_lwpolyline([(-0.5, -0.16, 0), (0.5, -0.16, 1), (0.5, 0.16, 0), (-0.5, 0.16, 1)], format="xyb", close=True)
    m.add_blockref("REED", (60 * u, 115 * u), {"xscale": 50 * u, "yscale": 50 * u, "rotation": 90, "layer": "REED"})
    round_ = d.blocks.new("ROUND")
    # A narrow ellipse that is made round by unlike scales.
    round_.add_ellipse((0, 0), (1, 0), 0.5)
    m.add_blockref("ROUND", (150 * u, 110 * u), {"xscale": 15 * u, "yscale": 30 * u})
    m.add_line((0, 0), (5, 5), {"layer": "HELP"})
    m.add_text("not a line")
    d.saveas(HERE / "ezdxf.dxf")


def ezdxf_svg():
    """The same by ezdxf's own SVG writer, whose page is in mm."""
    import ezdxf
    from ezdxf.addons.drawing import Frontend, RenderContext, config, layout
    from ezdxf.addons.drawing.svg import SVGBackend

    d = ezdxf.readfile(HERE / "ezdxf.dxf")
    back = SVGBackend()
    Frontend(RenderContext(d), back, config=config.Configuration(max_flattening_distance=0.0004)).draw_layout(
        d.modelspace(), filter_func=lambda e: e.dxftype() != "TEXT"
    )
    page = layout.Page(0, 0, layout.Units.mm, margins=layout.Margins.all(5))
    (HERE / "ezdxf.svg").write_text(
        back.get_string(page, settings=layout.Settings(fit_page=False, scale=25.4, output_coordinate_space=100_000))
    )


def dxfwrite_r12():
    """An old DXF without a unit: polylines with bulges, arcs, lines; the wave as a polyline of its curve."""
    from dxfwrite import DXFEngine

    d = DXFEngine.drawing(str(HERE / "dxfwrite.dxf"))
    points = [WAVE[0][0]]
    for a, b, c, e in WAVE:
        for t in (k / 40 for k in range(1, 41)):
            w = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
            points.append(tuple(sum(v * p[i] for v, p in zip(w, (a, b, c, e), strict=True)) for i in (0, 1)))
    d.add(DXFEngine.polyline(points, layer="WAVE"))
    # The reed by two arcs and two lines, not in order.
    d.add(DXFEngine.line((68, 140), (68, 90)))
    d.add(DXFEngine.arc(8, (60, 90), 180, 360))
    d.add(DXFEngine.line((52, 140), (52, 90)))
    d.add(DXFEngine.arc(8, (60, 140), 0, 180))
    d.add(DXFEngine.circle(15, (150, 110)))
    d.save()


if __name__ == "__main__":
    for write in (svgwrite_cm, drawsvg_mm, matplotlib_pt, cairo_pt, ezdxf_inches, ezdxf_svg, dxfwrite_r12):
        write()
