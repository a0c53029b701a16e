"""Processor time, for measurements that are compared within one run."""

import time

from scipy.sparse import csc_array, diags_array, kronsum
from scipy.sparse.linalg import splu


def least_seconds(work, *, runs=3):
    """The least processor time of a few runs: what the work takes when nothing else presses on the cache."""
    taken = []
    for _ in range(runs):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return min(taken)


def yardstick_seconds():
    """Processor seconds of a fixed piece of work: one factorisation of a grid of 120 × 120 unknowns, by COLAMD.

    0.02 to 0.04 s on a core: what is told in it depends little on how fast and how busy a machine is.
    """
    row = diags_array([-1.0, 2.1, -1.0], offsets=[-1, 0, 1], shape=(120, 120))
    matrix = csc_array(kronsum(row, row))
    return least_seconds(lambda: splu(matrix), runs=5)
