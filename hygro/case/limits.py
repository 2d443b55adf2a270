"""[limits]: the limits that verdicts are measured against, each with its source.

The limits and their sources travel with every result, so that scores read them from there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Limit:
    """A default limit.

    Parameters
    ----------
    key : str
        Key in [limits], with its unit.
    value : float
        Default, in the unit of the key.
    most : float
        Largest value that makes sense.
    meaning : str
        What it bounds.
    source : str
        Where the value comes from.
    """

    key: str
    value: float
    most: float
    meaning: str
    source: str


LIMITS: Final[tuple[Limit, ...]] = (
    Limit(
        "interface_relative_humidity_percent",
        95.0,
        100.0,
        "Largest pore humidity between two layers in the last year.",
        "95 % in the condensation plane: simplified procedure of WTA 6-4, second-hand; for walls without "
        "organic or frost-sensitive material at that plane",
    ),
    Limit(
        "mould_index_interface",
        3.0,
        6.0,
        "Largest mould index between two layers, out of sight.",
        "ASHRAE 160-2016: index below 3, from memory, unconfirmed; 3 is growth that the eye can see "
        "(Hukka and Viitanen 1999)",
    ),
    Limit(
        "mould_index_surface",
        1.0,
        6.0,
        "Largest mould index on the surface to the room.",
        "common practice, no published source: no growth on a surface that people breathe beside; 1 is the "
        "first growth under the microscope (Hukka and Viitanen 1999)",
    ),
    Limit(
        "timber_percent",
        20.0,
        30.0,
        "Largest moisture content of embedded timber, by dry mass.",
        "20 % taken as the safe limit: ASHRAE Handbook Fundamentals 2021, ch. 25",
    ),
)
"""The limits, with defaults and sources."""

MARGINS: Final[tuple[Limit, ...]] = (
    Limit(
        "margin_relative_humidity_percent",
        2.0,
        20.0,
        "Width of the marginal band below the limit on humidity.",
        "common practice, no published source: about the accuracy of a good hygrometer in a wall",
    ),
    Limit(
        "margin_mould_index",
        0.5,
        3.0,
        "Width of the marginal band below a limit on the mould index.",
        "largest usual error of the model against experiments: Ojanen et al. 2010, second-hand",
    ),
    Limit(
        "margin_timber_percent",
        2.0,
        10.0,
        "Width of the marginal band below the limit on timber.",
        "18 % by mass is the limit for wood panels in use class 2 (WTA 6-8, second-hand), 2 % under the "
        "safe limit",
    ),
)
"""Widths of the band below each limit that counts as marginal."""

SET_IN_CASE: Final = "set in the case file, which states no source"
"""Source of a value that the case file changes without saying why."""


def limit_sources(values: Mapping[str, float], stated: Mapping[str, str]) -> dict[str, str]:
    """Say where each limit of a case comes from.

    Parameters
    ----------
    values : mapping
        Limits of the case by key.
    stated : mapping
        Sources that the case file states.

    Returns
    -------
    dict
        One source a key: the stated one, else that of the default where the value is the default.
    """
    defaults = {limit.key: limit for limit in LIMITS + MARGINS}
    return {
        key: stated.get(key) or (defaults[key].source if value == defaults[key].value else SET_IN_CASE)
        for key, value in values.items()
    }
