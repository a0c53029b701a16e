"""Arrays on their way to the browser: one block of bytes that it reads without parsing numbers."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

_KINDS = {np.dtype("<f4"): "f4", np.dtype("<u4"): "u4", np.dtype("u1"): "u1"}
_ALIGN = 4


def packed(head: Mapping[str, Any], arrays: Mapping[str, NDArray[Any]]) -> bytes:
    """A payload: a length (u32, little-endian), a JSON head of that many bytes, then the arrays.

    The head is `head` with "arrays" added: for each name its kind ("f4", "u4" or "u1"), its shape and where it starts,
    counted from the end of the head. Floats go as 32 bits, bytes as they are, other whole numbers as 32 bits without
    sign; every array starts at a whole number of 32 bits.
    """
    table, blocks, start = {}, [], 0
    for name, array in arrays.items():
        kind = "<f4" if array.dtype.kind == "f" else "u1" if array.dtype == np.uint8 else "<u4"
        block = np.ascontiguousarray(array, kind)
        table[name] = {"kind": _KINDS[block.dtype], "shape": block.shape, "start": start}
        blocks.append(block.tobytes() + bytes(-block.nbytes % _ALIGN))
        start += len(blocks[-1])
    text = json.dumps({**head, "arrays": table}, separators=(",", ":"), allow_nan=False).encode()
    text += b" " * (-len(text) % _ALIGN)
    return b"".join([len(text).to_bytes(4, "little"), text, *blocks])
