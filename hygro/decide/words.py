"""Numbers and scores in words, the same in answers, tables and logs."""

from __future__ import annotations

from typing import Final

from hygro.scores.definitions import DEFINITIONS
from hygro.scores.states import Score

MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
"""English whatever the locale of the machine, so that the same input gives the same report."""

_UNITLESS = ("", "1")
_DECIMALS = {"h": 0, "W/(m2 K)": 2, "kg/m2 per year": 3}  # by unit; 1 for all others


def date_words(date: str) -> str:
    """Return a day in words, for figures alone are read as day and month here and as month and day there.

    Parameters
    ----------
    date : str
        Month and day, with a year before them or not: "10-01", "2003-10-01".

    Returns
    -------
    str
        Such as "1 Oct" or "1 Oct 2003".
    """
    *year, month, day = date.split("-")
    return " ".join((str(int(day)), MONTHS[int(month) - 1], *year))


def thickness_words(thickness_mm: float | None) -> str:
    """Return a thickness with its unit; "as drawn" for a build-up whose thickness does not vary."""
    return "as drawn" if thickness_mm is None else f"{thickness_mm:g} mm"


def heat_words(heat: float | None) -> str:
    """Return yearly heat with its unit, or a dash."""
    return "-" if heat is None else f"{heat:.0f} kWh/(m2 a)"


def percent_words(share: float | None) -> str:
    """Return a percentage, or a dash."""
    return "-" if share is None else f"{share:.0f} %"


def value_words(score: Score) -> str:
    """Return the value of a score with its unit, with the digits that its limit leaves to tell."""
    unit = "" if score.unit in _UNITLESS else f" {score.unit}"
    return f"{number_words(score.value, score.limit, _DECIMALS.get(score.unit, 1))}{unit}"


def governing_words(score: Score | None) -> str:
    """Say what a score found, where, and against which limit.

    Parameters
    ----------
    score : Score or None
        The governing score; None where nothing is judged.

    Returns
    -------
    str
        For example "moisture content of timber at joist end 20.6 % by mass, limit 20".
    """
    if score is None:
        return "nothing is judged"
    definition = DEFINITIONS.get(score.name)
    title = definition.title if definition else score.name
    limit = "" if score.limit is None else f", limit {score.limit:g}"
    return f"{title} at {score.place} {value_words(score)}{limit}"


def number_words(value: float, limit: float | None, decimals: int) -> str:
    """Round, but never on to the limit that the value is beside, nor to a zero with a sign.

    Parameters
    ----------
    value : float
        What to round.
    limit : float or None
        In the same unit; None where nothing is judged.
    decimals : int
        Places that are kept where they suffice to tell value from limit.
    """
    for places in range(decimals, decimals + 5):
        text = f"{value:z.{places}f}"
        if limit is None or value == limit or float(text) != limit:
            return text
    return f"{value:g}"
