"""What a score is, and how a value becomes within, marginal or exceeded."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

State = Literal["within", "marginal", "exceeded", "for information"]


@dataclass(frozen=True)
class Score:
    """One value of one place against its limit.

    Parameters
    ----------
    name : str
        Name in `hygro.scores.DEFINITIONS`.
    place : str
        Label of the place or layer, or "whole wall".
    value : float
        In `unit`.
    unit : str
        Unit as shown to people.
    limit : float or None
        In the same unit; None where nothing is judged.
    limit_source : str
        Where the limit comes from; empty where there is none.
    state : str
        "within", "marginal", "exceeded" or "for information".
    when : str
        ISO 8601 time (UTC) of the value, or empty.
    note : str
        What a reader must know beside the value, or empty.
    """

    name: str
    place: str
    value: float
    unit: str
    limit: float | None
    limit_source: str
    state: State
    when: str
    note: str


def classify(value: float, limit: float | None, margin: float) -> State:
    """Tell the state of a value that should stay at or below a limit.

    Parameters
    ----------
    value : float
        In the unit of the limit.
    limit : float or None
        None where the value is for information only.
    margin : float
        Width of the marginal band below the limit, at least 0.

    Returns
    -------
    str
        "exceeded" above the limit; "marginal" from `limit - margin` (not included) to the limit (included),
        where the error of the model or of the inputs may hide a crossing; "within" at or below that.
    """
    if limit is None:
        return "for information"
    if value > limit:
        return "exceeded"
    return "marginal" if value > limit - margin else "within"
