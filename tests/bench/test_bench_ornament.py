import time

import pytest
import shapely

from flatten.ornament.bands import carved
from flatten.ornament.model import Region
from flatten.ornament.weave import woven
from tests.bench.timing import yardstick_seconds
from tests.ornament.drawn import turks_head


@pytest.mark.bench
def test_two_thousand_crossings_are_woven_and_carved_in_five_seconds():
    strands = turks_head(12, 182, radius=1600.0, swing=500.0, fine=1800)
    field = Region.of(shapely.Point(0.0, 0.0).buffer(2200.0))
    start = time.process_time()
    weave = woven(strands)
    middle = time.process_time()
    carving = carved(weave, width=6.0, apart=1.0, field=field)
    taken, unit = time.process_time() - start, yardstick_seconds()
    assert len(weave.crossings) == 2002
    assert len(carving.lines) > 4000 - 100
    print(f"\n2002 crossings: woven {middle - start:.2f} s, in all {taken:.2f} s, {taken / unit:.0f} yardsticks")
    assert taken < 5.0
