"""What is bought, against the holes that the drawing shows."""

import numpy as np

from tests.test_make_closing import circles, files_of

SEAMS = [
    {"name": "back", "along": "back"},
    {"name": "front", "along": "front", "kind": "riveted", "rivet": "3.5 mm"},
    {"name": "side", "along": "outside", "kind": "strapped", "gap": "20 mm", "straps": 2},
]


def counted(space):
    """Round holes of the drawing by their diameter."""
    sizes, counts = np.unique(np.round(2 * circles(space, "HOLES")[:, 2], 3), return_counts=True)
    return dict(zip(sizes.tolist(), counts.tolist(), strict=True))


def test_hardware_is_as_many_as_the_holes_that_it_goes_into_on_both_limbs(tmp_path):
    space, report, files = files_of(tmp_path, seam=SEAMS, piece={"pair": "mirrored"})
    holes = counted(space)
    bought = {}
    for one in report["hardware_total"]:
        if one["hole"]:
            bought[one["hole"]] = bought.get(one["hole"], 0) + one["count"]
    # An eyelet in each hole; a rivet through two layers of the piece; a strap's through one layer of it.
    assert bought == {5.0: holes[5.0], 3.5: holes[3.5] // 2, 3.0: holes[3.0]}
    assert holes[3.0] == 2 * 2 * 2 * 2
    assert holes[3.5] % 2 == 0
    uses = {(one["name"], one["for"]): one["count"] for one in report["hardware"]}
    assert (uses["buckle", "seam"], uses["strap", "seam"], uses["lace", "seam"]) == (4, 4, 2)
    for name in ("eyelet", "rivet"):
        total = sum(one["count"] for one in report["hardware_total"] if one["name"] == name)
        assert total == sum(one["count"] for one in report["hardware"] if one["name"] == name)
    # Each line of the list is on the page.
    page = files["report.html"].decode()
    assert f"{holes[5.0]} eyelets for holes of 5 mm: 4 mm wide inside" in page
    assert "4 buckles with a pin, for straps 20 mm wide" in page
