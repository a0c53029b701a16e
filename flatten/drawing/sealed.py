"""Files that people draw in: sealed as they are made, so that one that was worked on since can be told from it."""

from __future__ import annotations

import hashlib
import re

_LINES = {".svg": ("<!-- sealed ", " -->\n"), ".pdf": ("% sealed ", "\n")}
"""The last line of a file by its ending, before and after the digest: a comment behind all that a reader reads."""

_SEAL = re.compile(rb"(?:<!-- sealed ([0-9a-f]{64}) -->|% sealed ([0-9a-f]{64}))\n\Z")


def sealed(name: str, content: bytes) -> bytes:
    """The content of an SVG or PDF file with a seal behind it: the digest (SHA-256) of all before."""
    before, after = _LINES[name[name.rfind(".") :]]
    return content + f"{before}{hashlib.sha256(content).hexdigest()}{after}".encode()


def is_sealed(content: bytes) -> bool:
    """Whether a file has a seal, and is byte for byte as it was sealed.

    One that another program has saved is not, whether or not anything was drawn in it.
    """
    found = _SEAL.search(content)
    if found is None:
        return False
    digest = hashlib.sha256(content[: found.start()]).hexdigest().encode()
    return digest in (found[1], found[2])
