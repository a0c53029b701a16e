"""Arrays of values: nobody changes them, and what nobody can change is not copied."""

import numpy as np
import pytest

from flatten.mesh.surface import frozen, frozen_ints


@pytest.mark.parametrize(("freeze", "kind"), [(frozen, np.float64), (frozen_ints, np.int64)])
def test_what_can_still_be_changed_is_copied(freeze, kind):
    own = np.arange(6, dtype=kind)
    view = own[:]
    view.flags.writeable = False
    for given in (own, view, own.reshape(2, 3).T, own.astype(np.int32), [0, 1, 2]):
        kept = freeze(given)
        before = kept.copy()
        assert not kept.flags.writeable
        own += 1
        np.testing.assert_array_equal(kept, before)


def test_what_nobody_can_change_is_not_copied():
    once = frozen(np.arange(6.0))
    assert frozen(once) is once
    assert frozen_ints(once) is not once
