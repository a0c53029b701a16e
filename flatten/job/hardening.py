"""By how much the job file says that pieces are cut larger for hardening by heat."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import PlainSerializer, PlainValidator

from flatten.leather.hardening import AS_STRIPS, MOST, UNHARDENED
from flatten.leather.limits import share
from flatten.units import share_text

_WAYS = ("along", "across")


def _asked(value: Any) -> str | tuple[float, float]:
    if value in (UNHARDENED, AS_STRIPS):
        return str(value)
    if isinstance(value, dict) and set(value) != set(_WAYS):
        raise ValueError("it must have a share along the grain and one across it: { along = '5 %', across = '4 %' }")
    given = [value[way] for way in _WAYS] if isinstance(value, dict) else [value, value]
    try:
        along, across = (share(each, name="the share") for each in given)
    except ValueError:
        raise ValueError(
            f"{value!r} is no share; write '{UNHARDENED}', '{AS_STRIPS}', what a scrap lost, such as '5 %', or "
            "{ along = '5 %', across = '4 %' }"
        ) from None
    if max(along, across) > MOST:
        raise ValueError(f"{share_text(max(along, across))} is more than the {share_text(MOST)} that leather may lose")
    return (along, across)


def _text(asked: str | tuple[float, float]) -> Any:
    """What reads as the same again."""
    if isinstance(asked, str):
        return asked
    along, across = (_share_text(each) for each in asked)
    return along if along == across else {"along": along, "across": across}


def _share_text(own: float) -> str | float:
    text = f"{100.0 * own:.12g} %"
    return text if share(text, name="the share") == own else own


Hardening = Annotated[str | tuple[float, float], PlainValidator(_asked), PlainSerializer(_text)]
"""UNHARDENED, AS_STRIPS, or the shares that the leather loses along and across the grain."""
