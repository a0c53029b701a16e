"""A job's lining: settings with defaults and bounds."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, PlainSerializer, PlainValidator

from flatten.job.amounts import AsText, LiningThickness
from flatten.job.points import FrozenSettings
from flatten.units import length

GREATEST_ALLOWANCE = 30.0
"""mm. More is no allowance: it is another edge."""


def _allowance(value: Any) -> Any:
    if value == "flush":
        return value
    mm = length(value)
    if not 0.0 < mm <= GREATEST_ALLOWANCE:
        raise ValueError(f"'{value}' is outside 0 to {GREATEST_ALLOWANCE:g} mm; 'flush' leaves none")
    return mm


class LiningSettings(FrozenSettings):
    """A lining of thin leather or cloth, glued to the inner face when the leather has been formed.

    It lies inside the leather, which becomes larger by it. It is cut larger than the leather all round by `allowance`,
    which is trimmed off when the glue holds: a hand lays it a few mm to one side, and formed leather is never quite
    what was reckoned. "flush" cuts it to the leather's own edges.
    """

    thickness: LiningThickness = 1.0
    allowance: Annotated[Literal["flush"] | float, PlainValidator(_allowance), AsText] = 5.0


def _none(value: Any) -> Any:
    return None if value == "no" else value


def _plain(lining: LiningSettings | None) -> Any:
    return "no" if lining is None else lining.model_dump(mode="json")


GivenLining = Annotated[LiningSettings | None, BeforeValidator(_none), PlainSerializer(_plain)]
"""A lining, or None for "no"."""
