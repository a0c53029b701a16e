"""Arrays go to the browser and can be read there."""

import json

import numpy as np

from cli.page.payload import packed


def test_a_payload_is_read_back_by_its_own_description():
    arrays = {
        "points": np.arange(6.0).reshape(2, 3) + 0.5,
        "faces": np.array([[0, 1, 2**31]], dtype=np.int64),
        "none": np.empty((0, 3)),
        "colours": np.array([[250, 3, 7]], dtype=np.uint8),
        "last": np.array([1.5]),
    }
    body = packed({"title": "grün"}, arrays)
    length = int.from_bytes(body[:4], "little")
    head = json.loads(body[4 : 4 + length])
    assert head["title"] == "grün"
    # Typed arrays in a browser must begin at a multiple of their item size.
    assert length % 4 == 0
    for name, array in arrays.items():
        entry = head["arrays"][name]
        start = 4 + length + entry["start"]
        kind = np.dtype(f"<{entry['kind']}")
        assert start % kind.itemsize == 0
        found = np.frombuffer(body[start : start + kind.itemsize * array.size], kind).reshape(entry["shape"])
        np.testing.assert_array_equal(found, array)
