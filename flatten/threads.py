"""One thread of linear algebra: sums taken in another order end in other digits, and those would reach the files."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from threadpoolctl import threadpool_limits

Given = ParamSpec("Given")
Back = TypeVar("Back")


def one_thread(work: Callable[Given, Back]) -> Callable[Given, Back]:
    """`work`, done with one thread of linear algebra, however many the machine or its environment allow.

    Where it returns or raises, the number of threads is as it was. For what a user's files or figures come from: every
    such entry has it, so that nobody who calls one needs to think of it.
    """

    @wraps(work)
    def alone(*args: Given.args, **kwargs: Given.kwargs) -> Back:
        with threadpool_limits(1):
            return work(*args, **kwargs)

    return alone
