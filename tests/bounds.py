"""The bound of each panel worked out once in a process, for tests that compare what is made of it."""

from contextlib import contextmanager

import pytest

from flatten.advice import judge
from flatten.unwrap.certificate.least import least_spread

FOUND = {}


def found_once(mesh, *, guide):
    """What `least_spread` gives for the very same mesh and guide, to the last bit; for any other it is worked out."""
    key = mesh.vertices.tobytes(), mesh.faces.tobytes(), guide.tobytes()
    if key not in FOUND:
        FOUND[key] = least_spread(mesh, guide=guide)
    return FOUND[key]


@contextmanager
def bounds_once():
    """Within, what is judged asks `found_once`: that the same panel gives the same bits has tests of its own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(judge, "least_spread", found_once)
        yield
