"""One way to make a score, so that unit, limit and margin always come from its definition."""

from __future__ import annotations

from collections.abc import Mapping

from hygro.scores.definitions import DEFINITIONS
from hygro.scores.limits import Bound
from hygro.scores.states import Score, State, classify


def make_score(
    name: str,
    place: str,
    value: float,
    limits: Mapping[str, Bound] | None = None,
    *,
    judged: bool = True,
    when: str = "",
    note: str = "",
) -> Score:
    """Make a score from its definition.

    Parameters
    ----------
    name : str
        Name in `DEFINITIONS`.
    place : str
        Label of the place or layer.
    value : float
        In the unit of the definition.
    limits : mapping, optional
        As from `hygro.scores.limits.limits_of`.
    judged : bool
        Whether the limit applies at this place; without, the score is for information and shows no limit.
    when, note : str
        As in `Score`.

    Returns
    -------
    Score
    """
    definition = DEFINITIONS[name]
    if not (judged and limits and definition.limit_key):
        state: State = "for information"
        return Score(name, place, float(value), definition.unit, None, "", state, when, note)
    bound, margin = limits[definition.limit_key], limits[definition.margin_key]
    state = classify(float(value), bound.value, margin.value)
    return Score(name, place, float(value), definition.unit, bound.value, bound.source, state, when, note)
