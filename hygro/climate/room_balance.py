"""What a room is for its moisture balance: air exchange, moisture production, buffering and heating."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Final

import numpy as np

from hygro.errors import ClimateError

Schedule = float | tuple[float, ...]
"""One value, or 24 for the hours of a day from midnight on, mean solar time to the hour."""


@dataclass(frozen=True)
class RoomBalance:
    """A room, or a dwelling whose doors stand open, as one volume of well mixed air.

    Parameters
    ----------
    volume : float
        [m3].
    air_changes : float or 24 of them
        Of vents, windows or balanced fans [1/h].
    moisture : float
        Production [kg/d].
    moisture_shares : tuple of 24 float, optional
        Weights of the hours of a day; even without.
    air_changes_rise : float
        More air changes for each kelvin by which the daily mean outdoors exceeds `rise_above` [1/(h K)].
    rise_above : float
        [degC].
    infiltration : float
        Constant air changes through leaks [1/h]; not together with `leakage_n50`.
    leakage_n50 : float, optional
        Air changes at 50 Pa, from which leaks follow with wind and temperature [1/h].
    storeys, shelter : int
        1 to 3, and shelter class 1 to 5, for `leakage_n50`.
    extract : float or 24 of them
        Fans that extract only [m3/h].
    heat_recovery, moisture_recovery : float
        Share of heat and of moisture in `air_changes` that is given back [1].
    setpoint : float or 24 of them
        Room temperature that the heating holds [degC].
    free_rise : float
        How much warmer than outdoors the room would be without heating [K].
    time_constant : float
        How slowly it drifts there [h].
    buffer_area : float
        Surfaces that take up moisture [m2]; 0 for none.
    buffer_value : float
        Their moisture buffer value [g/(m2 %)].

    Raises
    ------
    ClimateError
        A value is impossible, or no air is ever exchanged.
    """

    volume: float
    air_changes: Schedule
    moisture: float
    moisture_shares: tuple[float, ...] | None = None
    air_changes_rise: float = 0.0
    rise_above: float = 10.0
    infiltration: float = 0.0
    leakage_n50: float | None = None
    storeys: int = 2
    shelter: int = 3
    extract: Schedule = 0.0
    heat_recovery: float = 0.0
    moisture_recovery: float = 0.0
    setpoint: Schedule = 20.0
    free_rise: float = 2.8
    time_constant: float = 50.0
    buffer_area: float = 0.0
    buffer_value: float = 0.5

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if field.name in _BOUNDS and value is not None:
                _check(field.name, value)
        if self.infiltration > 0.0 and self.leakage_n50 is not None:
            raise ClimateError("leaks of the room are given twice", expected="infiltration or leakage_n50")
        if self.moisture_shares is not None and sum(self.moisture_shares) <= 0.0:
            raise ClimateError("no hour of the day has a share of the moisture production")
        flows = (self.air_changes, self.extract, self.infiltration, self.leakage_n50 or 0.0)
        if max(float(np.max(flow)) for flow in flows) <= 0.0:
            raise ClimateError("the room has no exchange of air at all")


_BOUNDS: Final = {
    "volume": (1.0, 1e5, "m3"),
    "air_changes": (0.0, 50.0, "1/h"),
    "moisture": (0.0, 1000.0, "kg/d"),
    "moisture_shares": (0.0, 1e6, ""),
    "air_changes_rise": (0.0, 1.0, "1/(h K)"),
    "rise_above": (-60.0, 60.0, "degC"),
    "infiltration": (0.0, 50.0, "1/h"),
    "leakage_n50": (0.0, 100.0, "1/h"),
    "storeys": (1, 3, ""),
    "shelter": (1, 5, ""),
    "extract": (0.0, 1e5, "m3/h"),
    "heat_recovery": (0.0, 1.0, ""),
    "moisture_recovery": (0.0, 0.95, ""),
    "setpoint": (-20.0, 40.0, "degC"),
    "free_rise": (0.0, 20.0, "K"),
    "time_constant": (1.0, 1000.0, "h"),
    "buffer_area": (0.0, 1e6, "m2"),
    "buffer_value": (0.01, 8.0, "g/(m2 %)"),
}
"""Bounds that catch a wrong unit, and the unit."""


def _check(name: str, value: Schedule) -> None:
    low, high, unit = _BOUNDS[name]
    what = name.replace("_", " ")
    if isinstance(value, tuple) and len(value) != 24:
        raise ClimateError(f"{what} of the room has no value for each hour", found=len(value), expected="24")
    for entry in value if isinstance(value, tuple) else (value,):
        if not low <= entry <= high:
            expected = f"{low:g} to {high:g} {unit}".strip()
            raise ClimateError(f"{what} of the room is out of range", found=entry, expected=expected)
