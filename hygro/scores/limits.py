"""Limits that scores are measured against: from the dataset's case, else the defaults."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from hygro.case.limits import LIMITS, MARGINS, SET_IN_CASE
from hygro.errors import ResultError

if TYPE_CHECKING:
    import xarray as xr


@dataclass(frozen=True)
class Bound:
    """A limit or a margin with its source."""

    value: float
    source: str


GIVEN = "given when the scores were asked for"
"""Source of a limit handed over by the caller."""


def limits_of(dataset: xr.Dataset, given: Mapping[str, float] | None = None) -> dict[str, Bound]:
    """Collect the limits and margins that hold for a dataset.

    Parameters
    ----------
    dataset : xarray.Dataset
        Limits are read from the "limits" of its attribute `case_resolved`, their sources from "sources" in
        there. A dataset without a case, such as logged data, has the defaults of `hygro.case.limits`.
    given : mapping, optional
        Values that stand above both, by the same keys.

    Returns
    -------
    dict
        Every key of `hygro.case.limits.LIMITS` and `MARGINS`.

    Raises
    ------
    ResultError
        Where a key is unknown, a value is no number, or the attribute is no JSON.
    """
    limits = {entry.key: Bound(entry.value, entry.source) for entry in (*LIMITS, *MARGINS)}
    values, sources = _of_case(dataset)
    for key, value in values.items():
        limits[_known(key, limits)] = Bound(_number(key, value), str(sources.get(key) or SET_IN_CASE))
    for key, value in (given or {}).items():
        limits[_known(key, limits)] = Bound(_number(key, value), GIVEN)
    return limits


def _of_case(dataset: xr.Dataset) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the case's limits and their sources, by key."""
    text = dataset.attrs.get("case_resolved", "")
    if not text:
        return {}, {}
    try:
        case = json.loads(text)
    except (TypeError, ValueError) as error:
        raise ResultError("the attribute case_resolved is no JSON", found=str(error)) from error
    limits = case.get("limits", {}) if isinstance(case, dict) else None
    sources = limits.get("sources", {}) if isinstance(limits, dict) else None
    if not isinstance(limits, dict) or not isinstance(sources, dict):
        raise ResultError(
            "the limits in case_resolved are unusable", found=limits, expected="a table of limits"
        )
    return {key: value for key, value in limits.items() if key != "sources"}, sources


def _known(key: str, limits: Mapping[str, Bound]) -> str:
    if key not in limits:
        raise ResultError("a limit is unknown", found=key, expected=f"one of {', '.join(limits)}")
    return key


def _number(key: str, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value) or value < 0:
        raise ResultError(f"limit {key} is unusable", found=value, expected="a finite number, 0 or more")
    return float(value)
