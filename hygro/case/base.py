"""What all sections of a case file share: strictness, and the few number types they are made of."""

from __future__ import annotations

from typing import Annotated, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, Strict
from pydantic_core import PydanticCustomError

T = TypeVar("T")


class Section(BaseModel):
    """A table of the case file: unknown keys are refused, text is no number, nothing changes once loaded."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


List = Annotated[tuple[T, ...], Strict(False)]
"""An array of the file, kept as a tuple."""

Share = Annotated[float, Field(ge=0.0, le=1.0)]
"""A share from 0 to 1."""

Positive = Annotated[float, Field(gt=0.0)]
"""A number above 0."""

Celsius = Annotated[float, Field(ge=-60.0, le=100.0)]
"""A temperature that a wall may see [degC]."""

Words = Annotated[str, Field(min_length=1, max_length=200)]
"""A name or a title."""


def refuse(
    what: str, *, expected: str | None = None, hint: str | None = None, shown: bool = True
) -> PydanticCustomError:
    """Build the exception with which a field refuses its value.

    Parameters
    ----------
    what : str
        What is wrong, without naming the key.
    expected : str, optional
        What would have been right.
    hint : str, optional
        What to try next.
    shown : bool
        Whether the sentence shows the whole value; not where `what` already shows the part that is wrong.

    Returns
    -------
    PydanticCustomError
        To be raised; `hygro.case.problems` turns it into a sentence with file and line.
    """
    return PydanticCustomError(
        "refused", "refused", {"what": what, "expected": expected, "hint": hint, "shown": shown}
    )


def _no_share(value: float) -> float:
    """Refuse what can only be a share: 0.5 where 50 % is meant would dry the wall and pass for an answer."""
    if value < DRIEST_PERCENT:
        raise refuse(
            "is so low that a share from 0 to 1 seems meant",
            expected=f"percent, at least {DRIEST_PERCENT:g}",
            hint="write 50 for 50 %",
        )
    return value


DRIEST_PERCENT = 1.0
"""Least relative humidity [%] a case can state. Drier air and pores are found in ovens only."""

HumidityPercent = Annotated[float, Field(gt=0.0, le=100.0), AfterValidator(_no_share)]
"""A relative humidity [%]; 0 would be an infinite suction."""
