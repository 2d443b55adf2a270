"""Moisture that households set free, from published tables."""

from __future__ import annotations

from typing import Final, Literal

import numpy as np

from hygro.errors import ClimateError

Habits = Literal["dry", "moist", "wet"]

HOUSEHOLDS: Final[dict[Habits, tuple[float, ...]]] = {
    "dry": (3.5, 4.0, 4.0, 5.0, 6.0, 7.0),
    "moist": (6.0, 8.0, 9.0, 10.0, 11.0, 12.0),
    "wet": (9.0, 11.0, 12.0, 14.0, 15.0, 16.0),
}
"""Moisture production of households of 1 to 6 persons [kg/d]; BS 5250:2002 Table 1, from memory: of these
only the 9 of one person with wet habits was seen quoted. Another recollection has 8 and 11 for four persons
with dry and moist habits. Dry: out by day, proper ventilation; wet: washing dried indoors, little
ventilation. For comparison, four persons come to about 12 kg/d in the handbook of the IEA Solar Heating and
Cooling programme."""

DRYING_LOAD: Final = 5.0
"""Water from one load of washing dried indoors without a vent [kg]; New Zealand roofing code of practice."""

BEDROOMS: Final = (8.0, 12.0, 14.0, 15.0)
"""Design moisture production by bedrooms, 1 to 4, each further one 1 more [kg/d]; ASHRAE 160-2009, from
memory, unconfirmed."""


def household_moisture(persons: float, habits: Habits = "moist", drying_loads_per_week: float = 0.0) -> float:
    """Moisture production of a household.

    Parameters
    ----------
    persons : float
        1 to 6; between whole numbers along a straight line.
    habits : {"dry", "moist", "wet"}
        Which row of `HOUSEHOLDS`.
    drying_loads_per_week : float
        Loads of washing dried indoors; wet habits have them in already.

    Returns
    -------
    float
        [kg/d].

    Raises
    ------
    ClimateError
        The table does not reach so far, or washing would be counted twice.
    """
    table = HOUSEHOLDS[habits]
    if not 1.0 <= persons <= len(table):
        raise ClimateError(
            "the table of households does not reach so far",
            found=persons,
            expected=f"1 to {len(table)} persons",
            hint="give the moisture production itself",
        )
    if habits == "wet" and drying_loads_per_week > 0.0:
        raise ClimateError(
            "washing dried indoors is counted already where habits are wet",
            found=drying_loads_per_week,
            hint='give loads with "dry" or "moist" habits',
        )
    number = np.interp(persons, np.arange(1.0, len(table) + 1.0), table)
    return float(number + DRYING_LOAD * drying_loads_per_week / 7.0)


def design_moisture(bedrooms: int) -> float:
    """Moisture production that ASHRAE 160 designs a dwelling for.

    Parameters
    ----------
    bedrooms : int
        At least 1.

    Returns
    -------
    float
        [kg/d].

    Raises
    ------
    ClimateError
        There is no bedroom.
    """
    if bedrooms < 1:
        raise ClimateError("a dwelling has at least one bedroom", found=bedrooms)
    return BEDROOMS[min(bedrooms, 4) - 1] + max(bedrooms - 4, 0)
