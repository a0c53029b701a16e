"""Tolerances that several rooms work to, and the edge lengths of panel meshes; what one room works to stands there."""

CUT_LINE = 0.1
"""mm. A drawn cut line may lie this far from the computed boundary: a third of a knife's wander."""

SEAM_MATCH = 0.2
"""mm. The two sides of a seam may differ by this much in length: a fifth of a stitch hole."""

EDGE_FINE = 3.0
"""mm. Edge length of the panel mesh that the files are made from; outlines then move below 0.3 mm."""

EDGE_QUICK = 5.0
"""mm. Edge length of the panel mesh for a quick look."""

EDGE_PREVIEW = 8.0
"""mm. Edge length of the coarse panel mesh that tells what the finer ones can reach, and on which advice is confirmed:
laid flat below half a second on two cores."""

EDGE_SHOWN = 12.0
"""mm. Edge length of the panel meshes that are only shown, as after a drag: against 5 mm edges the outline moves by
0.8 mm at most and the stretch by 0.4 %, on all limbs tried, for a seventh of the time; the pattern itself follows."""
