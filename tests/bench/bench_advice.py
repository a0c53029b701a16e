"""All advice for one piece: processor seconds on one thread, where dry limits make much advice needed.

Run with `pytest -m bench tests/bench/bench_advice.py -s`.
"""

import time
from pathlib import Path

import pytest
from threadpoolctl import threadpool_limits

from flatten.advice.advise import advice
from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.measuring import measure

SCANS = Path(__file__).parents[1] / "data" / "scans"

MOST_SECONDS = 10.0
"""Of a processor that does nothing else: a loaded one has taken a fifth more."""


@pytest.mark.bench
@pytest.mark.parametrize(
    ("file", "unit", "side"), [("leg_b_phone.obj", "m", "right"), ("leg_c_floor.glb", "m", "left")]
)
def test_all_advice_for_one_piece_takes_at_most_ten_seconds(file, unit, side):
    job = job_of({"scan": {"file": file, "unit": unit, "side": side}, "leather": {"limits": "dry"}}, name="the bench")
    with threadpool_limits(1):
        found = measure(job.scan, folder=SCANS, announce=lambda step: None)
        since = time.process_time()
        given = advice(job, [found], limits=PRESETS["dry"])
        seconds = time.process_time() - since
    print(f"{file}: {len(given)} pieces of advice in {seconds:.1f} s")
    assert seconds <= MOST_SECONDS
