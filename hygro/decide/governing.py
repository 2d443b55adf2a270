"""Which of many scores decides, and how far it is from its limit."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from hygro.scores.states import Score, State

RANK: Final[dict[str, int]] = {"for information": 0, "within": 1, "marginal": 2, "exceeded": 3}
"""States from harmless to worst."""

TREND: Final = "wall_water_change"
"""The judged score that has no limit to exceed: a wall that gains water is marginal, however much it is."""


def worst_state(scores: Iterable[Score]) -> State:
    """Return the worst state of the scores, "for information" where none is judged."""
    states: list[State] = [score.state for score in scores]
    return max(states, key=lambda state: RANK[state], default="for information")


def margin_of(score: Score) -> float:
    """Distance of a judged score to its limit, as a share of the limit.

    Parameters
    ----------
    score : Score
        With a limit.

    Returns
    -------
    float
        (limit - value) / limit [1]: above 0 inside the limit, 0 on it, below 0 beyond it. A limit of 0 counts
        as 1, so that the sign still tells.
    """
    assert score.limit is not None
    return (score.limit - score.value) / (score.limit or 1.0)


def governing_score(scores: Sequence[Score]) -> Score | None:
    """Return the score that decides the verdict.

    Parameters
    ----------
    scores : sequence of Score
        Of one variant.

    Returns
    -------
    Score or None
        Of the scores in the worst state, the one nearest to its limit or furthest beyond it. The trend of the
        water decides only where it alone is in the worst state. None where nothing is judged.
    """
    limited = _limited(scores)
    nearest = min(limited, key=_order) if limited else None
    for score in scores:
        beyond = nearest is None or RANK[score.state] > RANK[nearest.state]
        if score.name == TREND and score.limit is not None and beyond:
            return score
    return nearest


def governing_margin(scores: Sequence[Score]) -> float | None:
    """Margin of the governing score; where the trend of the water governs, that of the next in line.

    Returns
    -------
    float or None
        As from `margin_of`; None where no score has a limit that can be exceeded.
    """
    limited = _limited(scores)
    return margin_of(min(limited, key=_order)) if limited else None


def _limited(scores: Sequence[Score]) -> list[Score]:
    return [score for score in scores if score.limit is not None and score.name != TREND]


def _order(score: Score) -> tuple[int, float]:
    return -RANK[score.state], margin_of(score)
