"""Room climate: curves and classes of standards, constant, logged, or worked out from moisture and air."""

from __future__ import annotations

from dataclasses import dataclass, fields
from pathlib import Path
from typing import Final

import numpy as np
import xarray as xr

from hygro.climate.days import daily_mean
from hygro.climate.room_balance import RoomBalance
from hygro.climate.room_design import design_temperature, intermediate_pressure, simplified_humidity
from hygro.climate.room_model import SECONDS_PER_DAY, balanced_room
from hygro.climate.room_series import read_logged_room
from hygro.constants import GAS_CONSTANT_VAPOUR, SECONDS_PER_HOUR, ZERO_CELSIUS
from hygro.errors import ClimateError
from hygro.physics.moist_air import saturation_pressure
from hygro.physics.typing import FloatArray

CURVES: Final = {"EN 15026 normal": 0.30, "EN 15026 high": 0.40}
"""Relative humidity [1] at or below -10 degC outdoors; it rises by 1 % per kelvin to 20 degC. EN 15026:2007
Annex C."""

CLASSES: Final = {f"ISO 13788 class {number}": number for number in range(1, 6)}
"""Internal humidity classes of ISO 13788:2012 Annex A, maritime climate."""

EXCESS_COLD: Final = {1: 2e-3, 2: 4e-3, 3: 6e-3, 4: 8e-3}
"""Upper limit of the moisture excess of a class at or below 0 degC outdoors [kg/m3]; ISO 13788:2012."""

EXCESS_WARM: Final = 1e-3
"""Where all limits meet, at and above 20 degC outdoors [kg/m3]; ISO 13788:2012, read from its figure."""

CLASS_5: Final = (1360.0, 200.0)
"""Vapour pressure excess of class 5 [Pa] at or below 0 and at or above 20 degC outdoors. The standard sets no
upper limit; these are from a practice write-up, second-hand and weak."""

SIMPLIFIED: Final = "ASHRAE 160 simplified"
INTERMEDIATE: Final = "ASHRAE 160 intermediate"
BALANCE: Final = "balance"

KINDS: Final = (*CURVES, *CLASSES, SIMPLIFIED, INTERMEDIATE, BALANCE, "constant", "series")

_NEEDED: Final = {
    "constant": {"temperature", "relative_humidity"},
    "series": {"path"},
    INTERMEDIATE: {"balance"},
    BALANCE: {"balance"},
}
_ALLOWED: Final = {
    **dict.fromkeys(CLASSES, {"temperature"}),
    "series": {"fill_hours", "utc_offset_hours", "time_zone"},
}


@dataclass(frozen=True)
class RoomSpec:
    """Which climate a room has.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    temperature : float, optional
        [degC]; needed with "constant". An ISO 13788 class may have it, and else takes the curve of EN 15026.
    relative_humidity : float, optional
        [1]; needed with "constant".
    path : Path, optional
        CSV with hour_ending_utc, air_temperature_C, relative_humidity_percent; needed with "series".
    balance : RoomBalance, optional
        Needed with "balance" and "ASHRAE 160 intermediate"; the latter takes its volume, its air changes and
        its moisture production, all as means, and nothing else.
    fill_hours : int, optional
        With "series": longest gap that is filled [h]; none without.
    utc_offset_hours, time_zone : float, str, optional
        With "series", as for `hygro.climate.room_series.read_logged_room`.

    Raises
    ------
    ClimateError
        Where the kind is not known, or a value is missing, out of range or without use.
    """

    kind: str = "EN 15026 normal"
    temperature: float | None = None
    relative_humidity: float | None = None
    path: Path | None = None
    balance: RoomBalance | None = None
    fill_hours: int | None = None
    utc_offset_hours: float | None = None
    time_zone: str | None = None

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ClimateError(
                "the room climate is not known", found=self.kind, expected="one of " + ", ".join(KINDS)
            )
        needed = _NEEDED.get(self.kind, set())
        allowed = needed | _ALLOWED.get(self.kind, set())
        given = {f.name for f in fields(self) if f.name != "kind" and getattr(self, f.name) is not None}
        if needed - given or given - allowed:
            raise ClimateError(
                f"room climate {self.kind!r} is not given as it should be",
                found=", ".join(sorted(given)) or "nothing else",
                expected=", ".join(sorted(allowed)) or "nothing else",
            )
        for name, low, high in (("temperature", -20.0, 50.0), ("relative_humidity", 0.0, 1.0)):
            value = getattr(self, name)
            if value is not None and not low <= value <= high:
                what = name.replace("_", " ")
                raise ClimateError(
                    f"the {what} of the room is out of range", found=value, expected=f"{low:g} to {high:g}"
                )


@dataclass(frozen=True)
class RoomClimate:
    """Air of a room, hour by hour.

    Attributes
    ----------
    air_temperature : array, shape (hours,)
        [K].
    vapour_pressure : array, shape (hours,)
        [Pa].
    """

    air_temperature: FloatArray
    vapour_pressure: FloatArray


def room_climate(spec: RoomSpec, weather: xr.Dataset) -> RoomClimate:
    """Work out the climate of a room from that outdoors.

    Parameters
    ----------
    spec : RoomSpec
        Which climate.
    weather : xarray.Dataset
        From `hygro.climate.load_weather`.

    Returns
    -------
    RoomClimate
        As long as the weather.

    Notes
    -----
    Daily means of the outdoor air drive curves and classes; a day is 24 hours from the begin of the record. A
    class takes its upper limit, on the daily mean vapour pressure outdoors, and never more than saturation.
    """
    hours = weather.sizes["time"]
    if spec.kind == BALANCE and spec.balance is not None:
        room = balanced_room(spec.balance, weather)
        return RoomClimate(room.air_temperature, room.air.vapour_pressure)
    if spec.kind == INTERMEDIATE and spec.balance is not None:
        return _intermediate(spec.balance, weather)
    if spec.kind == "series" and spec.path is not None:
        celsius, humidity = read_logged_room(
            spec.path,
            weather["time"].to_numpy(),
            fill_hours=spec.fill_hours or 0,
            utc_offset_hours=spec.utc_offset_hours,
            time_zone=spec.time_zone,
        )
    elif spec.kind == "constant":
        celsius = np.full(hours, float(spec.temperature or 0.0))
        humidity = np.full(hours, float(spec.relative_humidity or 0.0))
    elif spec.kind in CURVES:
        outdoor = daily_mean(weather["air_temperature"].to_numpy())
        celsius, humidity = en_15026_temperature(outdoor), en_15026_humidity(outdoor, CURVES[spec.kind])
    elif spec.kind == SIMPLIFIED:
        outdoor = daily_mean(weather["air_temperature"].to_numpy())
        celsius, humidity = design_temperature(outdoor), simplified_humidity(outdoor)
    else:
        return _class_climate(spec, weather)
    kelvin = celsius + ZERO_CELSIUS
    return RoomClimate(kelvin, humidity * saturation_pressure(kelvin))


def _class_climate(spec: RoomSpec, weather: xr.Dataset) -> RoomClimate:
    celsius = weather["air_temperature"].to_numpy()
    pressure = weather["relative_humidity"].to_numpy() * saturation_pressure(celsius + ZERO_CELSIUS)
    outdoor = daily_mean(celsius)
    if spec.temperature is None:
        kelvin = en_15026_temperature(outdoor) + ZERO_CELSIUS
    else:
        kelvin = np.full(len(celsius), spec.temperature + ZERO_CELSIUS)
    excess = class_excess(CLASSES[spec.kind], outdoor, kelvin)
    return RoomClimate(kelvin, np.minimum(daily_mean(pressure) + excess, saturation_pressure(kelvin)))


def _intermediate(room: RoomBalance, weather: xr.Dataset) -> RoomClimate:
    celsius = weather["air_temperature"].to_numpy()
    pressure = weather["relative_humidity"].to_numpy() * saturation_pressure(celsius + ZERO_CELSIUS)
    kelvin = design_temperature(daily_mean(celsius)) + ZERO_CELSIUS
    exchange = float(np.mean(room.air_changes)) * room.volume / SECONDS_PER_HOUR
    vapour = intermediate_pressure(daily_mean(pressure), room.moisture / SECONDS_PER_DAY, exchange)
    return RoomClimate(kelvin, np.minimum(vapour, saturation_pressure(kelvin)))


def en_15026_temperature(outdoor: FloatArray) -> FloatArray:
    """Room temperature from the daily mean outdoors.

    Parameters
    ----------
    outdoor : array
        [degC].

    Returns
    -------
    array
        20 degC up to 10 degC outdoors, 25 degC from 20 degC on, a straight line between [degC].

    References
    ----------
    EN 15026:2007 Annex C, read second-hand.
    """
    return np.interp(outdoor, [10.0, 20.0], [20.0, 25.0])


def en_15026_humidity(outdoor: FloatArray, least: float) -> FloatArray:
    """Relative humidity of a room from the daily mean temperature outdoors.

    Parameters
    ----------
    outdoor : array
        [degC].
    least : float
        Humidity at or below -10 degC [1], from `CURVES`.

    Returns
    -------
    array
        [1].

    References
    ----------
    EN 15026:2007 Annex C, read second-hand.
    """
    return np.interp(outdoor, [-10.0, 20.0], [least, least + 0.30])


def class_excess(number: int, outdoor: FloatArray, room_temperature: FloatArray) -> FloatArray:
    """Vapour pressure in a room above that outdoors, at the upper limit of its humidity class.

    Parameters
    ----------
    number : int
        1 to 5.
    outdoor : array
        Mean temperature outdoors [degC].
    room_temperature : array
        [K].

    Returns
    -------
    array
        [Pa].

    References
    ----------
    ISO 13788:2012 Annex A.
    """
    if number == 5:
        return np.interp(outdoor, [0.0, 20.0], list(CLASS_5))
    excess = np.interp(outdoor, [0.0, 20.0], [EXCESS_COLD[number], EXCESS_WARM])
    return excess * GAS_CONSTANT_VAPOUR * room_temperature
