"""Directions and points of the scan in a job file, and what they say: the front, the limb that is meant, the joint."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, PlainSerializer, PlainValidator

from flatten.job.amounts import is_number, length_text
from flatten.units import length

Vector = tuple[float, float, float]

JOINT_HEIGHTS = (50.0, 700.0)
"""mm above height 0 between which a knee or an elbow is believed: a small child's forearm has 100, a tall man's shin
450."""


class FrozenSettings(BaseModel):
    """Settings that do not change; a key that none of them has is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


def _vector(value: Any) -> Vector:
    numbers = isinstance(value, list | tuple) and len(value) == 3 and all(is_number(x) for x in value)
    if not numbers or not any(value):
        raise ValueError(f"{value!r} is no direction or point; write three numbers such as [0, 0, 1], not all 0")
    x, y, z = value
    return (float(x), float(y), float(z))


class Point(FrozenSettings):
    """A point of the scan, in its own unit and axes."""

    point: Annotated[Vector, PlainValidator(_vector), PlainSerializer(list)]


def _front(value: Any) -> Any:
    if value == "auto" or isinstance(value, Point):
        return value
    return Point.model_validate(value) if isinstance(value, dict) else _vector(value)


def _pick(value: Any) -> Any:
    return value if value == "auto" else _vector(value)


def _joint(value: Any) -> Any:
    if value == "auto" or isinstance(value, Point):
        return value
    if isinstance(value, dict):
        return Point.model_validate(value)
    if isinstance(value, list | tuple):
        raise ValueError(f"{list(value)} is no height; a point of the scan is written {{ point = {list(value)} }}")
    height = length(value)
    if not JOINT_HEIGHTS[0] <= height <= JOINT_HEIGHTS[1]:
        raise ValueError(f"'{value}' is outside {JOINT_HEIGHTS[0]:g} to {JOINT_HEIGHTS[1]:g} mm")
    return height


def _plain(value: Any) -> Any:
    if isinstance(value, Point):
        return {"point": list(value.point)}
    return list(value) if isinstance(value, tuple) else length_text(value)


Front = Annotated[Literal["auto"] | Vector | Point, PlainValidator(_front), PlainSerializer(_plain)]
"""Where the front looks, as a direction in the scan's axes, or a point on it."""

Pick = Annotated[Literal["auto"] | Vector, PlainValidator(_pick), PlainSerializer(_plain)]
"""A point of the scan, in its own unit and axes, on the limb that is meant; "auto" where there is only one."""

GivenJoint = Annotated[Literal["auto"] | float | Point, PlainValidator(_joint), PlainSerializer(_plain)]
"""Where the knee or the elbow is: its height above zero in mm, or a point of the scan on it."""
