"""Job files as text: those that `calfskin start` writes, with settings as remarks to uncomment, and the demos'."""

TEXT = """\
# A Calfskin job file: TOML, all lengths with their unit ("3 mm", "1.5 cm", "13 3/8 in"; leather also "8 oz").
# Lines that begin with # are remarks. Make it with:  calfskin make {command_name}
# Settings in remarks are examples of what else can be said: take the # away from a line, or from a whole [[table]].
# A setting stands only once in its table: where it is there already, change that one.
{found}
[scan]
file = {file}
unit = "{unit}"           # mm, cm, m, in; none: no size of its own, tapes give it; or auto
limb = "{limb}"            # lower leg, thigh, forearm, upper arm; or auto: told by foot or hand, else a lower leg
side = "{side}"            # the wearer's left or right; or auto: told by foot or hand, else left
front = {front}          # auto: found from the foot or hand; or a direction in the scan's axes such as [0, 0, 1]
over = "0 mm"            # what was worn for the scan: 0 mm for bare skin, 1 mm for a stocking; it is not worn twice.
                         # Cloth closer than 3 mm, or that ends softly, is often not seen in a scan: say it here
{joint} # {joint_words}, where the scan leaves it in doubt
{pick} # where the scan shows several limbs: a point on the one meant, in the file's axes and unit

{tape}
# The other limb of a pair has a scan of its own; then say pair = "own scan" or pair = "mean" under [piece].
# [other_scan]
# file = "other.ply"

[wear]
under = "3 mm"           # clothing and padding; or by quarter: {{ front = "8 mm", outside = "3 mm", back = "2 mm" }}
ease = "8 mm"            # added to the girth, so that it can be worn: 5 to 15 mm is usual
# flexed = "8 mm"        # more girth at the widest for a muscle that swells; or by place: {{ "120 mm" = "4 mm" }}
# finished = "-1.2 %"    # your own correction, as calfskin finished offers it: leather drawn so much shorter
# hollows = "40 mm"      # leather spans hollows round the limb up to this width; without it, it follows each of them

[leather]
thickness = "3.2 mm"     # measure it; "8 oz" is 3.2 mm
limits = "cased"         # formed wet; "dry"; a strip test's .toml or .csv file; or four figures of your own
# limits = {{ stretch_along = "5 %", stretch_across = "6 %", squeeze_along = "3 %", squeeze_across = "3 %" }}
# grain = "across the limb" # or "up the limb", as it is usually cut
# hardened = true        # hardened by heat: it no longer gives, which decides how the piece goes on
                         # With it, hardening = "as strips shrank" or what a scrap lost, "5 %", cuts larger by what
                         # the heat takes off; what is hardened before its last forming then comes out too small
# room = 0.5             # share of the slack to those limits that stays unused: 0 none, truest to the limb; 1 all of it
# aim = "forms itself"   # the pattern comes to rest within the limits when it is laid on the limb and let go, where a
                         # shape is found that does; "most even" asks least where the pattern puts it
# neutral = 0.5          # share of the thickness, from the inside, that keeps its length in a bend: 0.3 to 0.6

# A lining of thin leather or cloth, glued to the inner face; the leather is made larger by it.
# [lining]
# thickness = "1 mm"
# allowance = "5 mm"     # cut larger by this and trimmed when the glue holds; "flush" cuts it to the leather's edges

# What the report's heading says stands against cutting, and you have looked at and are sure of, by its figure there.
# [sure]
# size = 1.36            # this figure alone: it opens again where the figure becomes another
# seam = "17 mm"

[edges]                  # heights in mm along the limb, 0 at {zero}
{edges}
# Other edges: straight; swept (lower behind); arched (higher in front and behind); or through points (degrees, height).
# top = {{ shape = "swept", height = "300 mm", by = "60 mm" }}
# bottom = {{ points = [[0, "45 mm"], [90, "25 mm"], [180, "40 mm"], [270, "25 mm"]] }}
# flare = {{ top = "4 mm", bottom = "6 mm", depth = "25 mm" }} # how far the leather turns outwards there
# finish = {{ top = "turned", bottom = "bound", turn = "10 mm", skived = "1 mm", binding = "1 mm", cover = "8 mm" }}
# lines = {{ border = "5 mm", stitch = "3.5 mm", bevel = "1 mm" }} # drawn so far inside open edges; stitches with holes

[[seam]]
name = "back"
along = "back"           # {sides};
                         # or a bearing in degrees (0 front, 90 outside, 180 back);
                         # or a line through points: [[180, "-20 mm"], [175, "380 mm"]] (bearing, height)
kind = "laced"
gap = "25 mm"            # the lacing gap: 20 to 40 mm is usual
eyelet = "5 mm"          # hole diameter
pitch = "30 mm"          # from hole to hole, 25 to 40 mm

# One more seam makes two pieces. This one is riveted; any seam, the one above too, may be of any kind.
# [[seam]]
# name = "front"
# along = "front"
# kind = "riveted"       # or laced, strapped, snapped, stitched, open
# overlap = "22 mm"      # leather on leather; "auto" is the usual
# on_top = "outside"     # the quarter whose leather lies on top
# skive = "auto"         # taper both layers of the overlap to half their thickness, or to "1.5 mm"; "no" leaves them
# rivet = "3 mm"         # hole diameter; kind = "snapped" has press studs in its overlap, which opens: snap = "4 mm"

# [[seam]]
# name = "strapped side"
# along = "outside"
# kind = "strapped"
# gap = "20 mm"
# strap = "20 mm"        # its width
# hold = "slots"         # slots that it runs through, or "rivets" that hold both its ends
# straps = 3             # how many; without it the usual: two on a forearm, two or three on a shin;
                         # or heights of their middles, at = ["60 mm", "220 mm"]; or pitch = "80 mm", one to the next
# buckles = "front"      # the side whose leather the buckles sit on

# [[seam]]
# name = "stitched side"
# along = "inside"
# kind = "stitched"      # edge to edge; with an overlap as for rivets
# stitch = "1.3 mm"      # hole diameter
# stitches = 5           # holes to the inch

# A dart: a cut from an edge into the leather, closed when worn. A slash stays open.
# [[dart]]
# name = "heel"
# kind = "dart"          # or "slash", with opening = "10 mm" at the edge
# edge = "bottom"        # or "top"
# along = "back"         # or a bearing in degrees; not where a seam's gap is
# depth = "60 mm"
# close = "stitched"     # or "riveted", "open"
# stop = "4 mm"          # round hole at its tip, from which it cannot tear

# A plate: a second leather that is riveted on the first. Without around and heights it is as large as that, less inset.
# [[plate]]
# name = "shin plate"
# on = "base"            # or another plate's name, or that of one of several pieces
# around = [-45, 45]     # from one bearing on to the next, in degrees or by two sides
# heights = ["120 mm", "260 mm"]
# inset = "8 mm"         # how far inside the edges, and the rims of a seam's holes, it stays: 6 to 10 mm is usual
# thickness = "6 oz"     # "auto" is the base's
# rivet = "3 mm"         # hole diameter
# pitch = "30 mm"        # from rivet to rivet, 25 to 40 mm
# rivets = "all round"   # or on some of its sides: ["top", "bottom", "outside"]
# punch = "two"          # holes beneath it that are punched flat, to hang it up on; all; none: after forming

# [[plate]]
# name = "badge"
# on = "shin plate"
# curve = [[-30, "140 mm"], [30, "140 mm"], [0, "240 mm"]] # points (degrees, height) once round it
# corners = "sharp"      # or "smooth"

# Lames: a row of bands that overlap, turn on pivots at the limb's sides and slide on rivets as a joint bends.
# [[lames]]
# name = "lame"
# where = "above"        # up from the top edge; "below": down from the bottom edge; "on" the base, from its start up
# side = "front"         # the side of the limb that they cover, or "back"
# count = 2
# width = "60 mm"
# overlap = "auto"       # what the bend needs
# hinge = "auto"         # height of the joint's axis; ahead = "10 mm" puts it so far before the limb's middle
# bend = 30              # degrees that the row bends by in all, in equal parts
# towards = "back"       # the way that the joint bends; "auto": away from the side that they cover, if it bends so
# rivet = "4 mm"         # hole diameter of pivots and sliding rivets
# play = "1 mm"          # what a slot is longer than its rivet's way
# ends = "15 mm"         # how far the lames run past their pivots

[piece]
symmetry = "own shape"   # as the limb is; or "centre line": two equal halves, and told how far they moved
pair = "no"              # or "mirrored": the other limb's piece too; with [other_scan]: "own scan", "mean"
corners = "auto"         # rounded by 6 mm, less where a hole is near; or a radius; "0 mm" leaves points
# tooling = false        # do not mark where the leather moves too much in forming to be carved or stamped
# name = "shin guard"    # what its label calls it; by its limb where nothing is said

# The space for ornament, and how it is worked; calfskin ornament JOB makes its sheets alone.
# [ornament]
# edge = "6 mm"          # how far it keeps off edges
# hole = "4 mm"          # off holes
# stitch = "3 mm"        # off stitch lines
# bend = "5 mm"          # off bends, and off where the leather moves too much to be carved
# calm_only = true       # false: also where the leather moves so much that carving loses its shape
# worn = true            # drawn so that it looks as drawn on the formed piece; false: as it lies flat
# sheet = true           # field.pdf and field.svg: the space at true size with squares, to draw on
# tool = "1 mm"          # the narrowest width that has to pass between two lines
# pace = "1500 mm"       # of line that you carve or bevel in an hour

# Interlace: bands that pass over and under each other, on layers CARVE, BEVEL and BACKGROUND. Each [[motif]] has what
# earlier ones of its piece leave.
# [[motif]]
# on = "base"            # or a plate or a lame by its name, or that of one of several pieces
# kind = "border"        # along the edges; "filling" fills the space; "drawing" comes from a file
# strands = 3            # how many run side by side
# along = "all round"    # where a border runs; "top", "foot", "left", "right": a plait, an even number of strands
# reeds = 1              # how many strands of a border are straight: 0, 1 or 2
# width = "5 mm"         # of a band
# apart = "1.2 mm"       # by which a band is broken beside the one that it passes under
# seed = 1               # another number draws another filling

# [[motif]]
# kind = "drawing"
# file = "reeds.svg"     # the strands' middle lines, SVG or DXF
# half = "left"          # of the drawing, mirrored about the middle; right; whole
# place = "fitted"       # to the outline; "centred", "scaled" to fit, "as drawn"
# by = ["0 mm", "20 mm"] # moved to the right and up
# turn = 0               # degrees
# mend = true            # where it cannot be woven, draw it as the report proposes

# A mock-up to try on before leather is cut: mockup.pdf and mockup.dxf, the same cuts on the mock-up's own mid-line.
# [mockup]
# material = "paper"     # or felt, foam, cloth
# thickness = "0.2 mm"   # paper 0.2 mm, felt 3 mm, foam 5 mm, cloth 0.5 mm where nothing is said

# What a try-on showed corrects the pattern. Let each table stand: the next fitting is tried on what it left.
# [[fitting]]
# material = "paper"     # or felt, foam, cloth, leather; with its thickness where that is not the usual one
# pattern = "mock-up"    # its own; "leather" where the leather's own sheets were tried in it
# side = "both"          # "left" or "right" where each limb of a pair has a scan of its own
# showed = ["tight by 6 mm at the widest", "top edge 10 mm too high behind"]
#   mm of girth:  fits; tight by 6 mm; 10 mm loose; slides down (6 mm less at the top)
#   where:        at the widest, top, bottom or {at}; in the middle; at 120 mm; all over
#   at one side:  tight by 5 mm at 200 mm in front; stands off by 4 mm at the top behind; sides as for seams
#   edges:        top edge 10 mm too high, bottom edge 5 mm too low behind; top edge touches behind at 90 degrees
#                 (it gives way by 10 mm there, or by 8 mm)
# What the leather is formed on, over what is worn beneath: STL files to print, ribs to cut from board, or both.
# [former]
# kind = "print"         # or "ribs", "both"; "none" where nothing is said
# past = "25 mm"         # how far it runs past the edges
# springback = "0 %"     # share of a bend that a trial piece gave back when dry: the former is bent further by it
# wall = "solid"         # or a thickness, such as "10 mm": hollow and open at both ends
# bed = ["220 mm", "220 mm", "250 mm"] # your printer's; parts that fit it are put together on pegs
# clearance = "0.2 mm"   # round each peg
# board = "6 mm"         # of ribs and spines: measure it
# play = "0.2 mm"        # by which slots are wider than the board is thick
# every = "25 mm"        # the most that ribs are apart
# spines = 1             # or 2: one more from the sides, which locks the ribs
# cover = "0 mm"         # foam, felt or strips that go over the ribs: they are smaller by it

# What the pieces are laid on, to see how much leather they take: layout.dxf, layout.svg and a picture in the report.
# A [[hide]] for each leather; grain runs along its backbone, both of a pair come from like leather.
# [[hide]]
# shape = "double shoulder" # or side, bend, shoulder, belly; with your own length and width: sizes differ
# length = "800 mm"      # along the backbone
# width = "1300 mm"
# thickness = "auto"     # that of [leather]; plates and linings of another thickness want a hide of theirs
# flaws = [["420 mm", "180 mm", "60 mm"]] # from the tail's end, from the backbone, how large
# margin = "10 mm"       # off its edges
# space = "5 mm"         # between pieces, and off flaws
# turn = "0 degrees"     # how far grain may lie off the backbone
# both_ways = true       # either end of a piece may point to the neck
# belly = "small pieces" # what lies on the stretchy strip along the edge: none, small pieces, all
# belly_width = "200 mm" # how wide that is; without it a fifth of a side

# Or its edge traced from a photo, DXF or SVG, true to size: in it flaws are closed lines, the belly lies on a layer
# BELLY, and a line on BACKBONE runs from tail to neck.
# [[hide]]
# outline = "hide.dxf"
# backbone = "bottom edge" # where no line tells it; or top, left, right edge; through the middle "level", "upright"

# Or a bench or a machine's bed: which pieces go on it together, a file for each time.
# [bed]
# width = "600 mm"
# height = "400 mm"
# margin = "5 mm"

# What is bought can be reckoned by your own prices: calfskin prices FOLDER writes the file to fill in.
# [shop]
# prices = "prices.toml"
# hours = 6.5            # of your work, at the hourly price in that file

[output]
title = ""               # printed on the piece; the scan's name where empty
paper = "A4"             # or "Letter", "A3", "Tabloid"; "one page": all pieces on one, for a copy shop's plotter
# printer_edge = "8 mm"  # what your printer leaves blank along the paper's edges: less takes fewer sheets
# dxf = "R12"            # for a cutter that reads no "R2010"
# kerf = {{ cut = "0.2 mm", holes = "0.2 mm" }} # what a laser takes away, counted in by DXF and SVG; by test cuts
# bound = false          # do not work out what no pattern with these cuts can beat: sooner done
# advice = false         # do not try what to change where the leather cannot follow: sooner done
# fitting_record = true  # also fitting.pdf: a page to write down what a try-on shows, with the girths foretold
# mesh = "quick"         # reckoned on a coarser mesh, for a first look; "fine" is for cutting
"""

TAPE = """\
# One girth by tape, over what was worn for the scan, makes it true to size: a phone scan may be off by many per cent.
# [[scan.tape]]
# at = "widest"          # widest, {least}, or a height along the limb such as "120 mm"
# girth = "{girth}"
"""

AUTO_EDGES = """\
top = "auto"
bottom = "auto"
"""
"""Edges that are found from the limb."""

DEMO = """\
# Demo: a theatre's workshop outfits the harbour watch of an invented town. {wearer}.
[scan]
file = "{file}"
limb = "{limb}"
side = "{side}"

[[scan.tape]]
at = "widest"
girth = "{girth} mm"

[wear]
under = "3 mm"           # thick stockings
ease = "8 mm"

[leather]
thickness = "8 oz"
limits = "cased"

[[seam]]
name = "{along}"
along = "{along}"
{closing}{armour}
[piece]
symmetry = "{symmetry}"
pair = "{pair}"

[former]
kind = "{former}"          # what the leather is formed on: "print" (STL), "ribs" (to cut from board), "both"

[output]
title = "Harbour watch: {wearer}"
"""
"""The job file of a bundled scan."""

DEMO_LACED = """\
kind = "laced"
gap = "25 mm"
"""
"""How a bundled scan's guard is laced."""

DEMO_ARMOUR = """
[[plate]]
name = "wave plate"      # riveted on the guard: room for reeds and waves
around = [-40, 40]
heights = ["95 mm", "215 mm"]
thickness = "6 oz"

[[lames]]
name = "knee lame"       # slides on the guard as the knee bends
count = 1
bend = 15

[[motif]]
on = "wave plate"
kind = "filling"         # reeds that cross like ripples
strands = 8
width = "3.5 mm"
apart = "1 mm"
seed = 2
"""
"""What the harbour watch's first shin guard carries."""

DEMO_CARVED = """
[ornament]
calm_only = false        # shallow cuts bear it where the leather moves; the lines are drawn for the worn outside

[[motif]]
kind = "border"          # waves about two reeds, along the edges
strands = 4
reeds = 2
width = "3 mm"
apart = "1 mm"

[[motif]]
kind = "filling"         # reeds that sway and cross within it
strands = 14
width = "5 mm"
apart = "1.2 mm"
seed = 0
"""
"""What is carved on its second one."""

DEMO_STRAPPED = """\
kind = "strapped"
gap = "20 mm"
strap = "20 mm\"          # its width
hold = "slots"           # the straps run through slots; "rivets" hold them otherwise
pitch = "80 mm\"          # from strap to strap
"""
"""How it is strapped."""
