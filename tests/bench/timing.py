"""Processor time, for measurements that are compared within one run."""

import time


def least_seconds(work, *, runs=3):
    """The least processor time of a few runs: what the work takes when nothing else presses on the cache."""
    taken = []
    for _ in range(runs):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return min(taken)
