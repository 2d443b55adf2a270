"""Climate of a room worked out from its air exchange, moisture production, buffering and heating."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from hygro.climate.days import daily_mean
from hygro.climate.room_balance import RoomBalance, Schedule
from hygro.constants import HOURS_PER_YEAR, JOULES_PER_KWH, SECONDS_PER_HOUR, ZERO_CELSIUS
from hygro.physics.moist_air import saturation_pressure
from hygro.physics.room_balance import BUFFER_CONDUCTANCE, Buffer, RoomAir, buffer_capacity, room_air
from hygro.physics.room_leakage import combined_flow, leakage_area, leakage_flow
from hygro.physics.surfaces import AIR_DENSITY, AIR_HEAT_CAPACITY
from hygro.physics.typing import FloatArray

if TYPE_CHECKING:
    import xarray as xr

SECONDS_PER_DAY: Final = 24.0 * SECONDS_PER_HOUR

WINTER_DAYS: Final = 90
"""Length of the coldest spell that stands for winter in summaries [d]; own rule."""


@dataclass(frozen=True)
class BalancedRoom:
    """A room hour by hour, as long as the weather.

    Attributes
    ----------
    air_temperature : array
        [K].
    air : RoomAir
        Vapour pressure and flows of moisture.
    outdoor_temperature, outdoor_pressure : array
        [K], [Pa].
    air_changes : array
        Of all paths together [1/h].
    production : array
        Moisture set free [kg/s].
    ventilation_heat : array
        Heat that warms the air which comes in, where the heating is on [W].
    """

    air_temperature: FloatArray
    air: RoomAir
    outdoor_temperature: FloatArray
    outdoor_pressure: FloatArray
    air_changes: FloatArray
    production: FloatArray
    ventilation_heat: FloatArray

    @property
    def relative_humidity(self) -> FloatArray:
        """Mean of each hour [1]."""
        return self.air.vapour_pressure / saturation_pressure(self.air_temperature)

    def summary(self) -> dict[str, float]:
        """Return what a reader wants to know, by name with unit; yearly figures per 365 days.

        Winter is the coldest `WINTER_DAYS` on end, over the end of the record into its begin.
        """
        hours = len(self.air_temperature)
        per_year = HOURS_PER_YEAR / hours
        span = min(24 * WINTER_DAYS, hours)
        twice = np.concatenate([self.outdoor_temperature, self.outdoor_temperature[: span - 1]])
        sums = np.concatenate([[0.0], np.cumsum(twice)])
        winter = (int(np.argmin(sums[span:] - sums[:-span])) + np.arange(span)) % hours
        percent = 100.0 * self.relative_humidity
        kwh = SECONDS_PER_HOUR / JOULES_PER_KWH
        return {
            "winter_mean_relative_humidity_percent": float(percent[winter].mean()),
            "winter_most_relative_humidity_percent": float(percent[winter].max()),
            "winter_mean_temperature_C": float(self.air_temperature[winter].mean() - ZERO_CELSIUS),
            "mean_relative_humidity_percent": float(percent.mean()),
            "most_relative_humidity_percent": float(percent.max()),
            "mean_air_changes_per_hour": float(self.air_changes.mean()),
            "winter_mean_air_changes_per_hour": float(self.air_changes[winter].mean()),
            "moisture_kg_per_day": float(self.production.mean() * SECONDS_PER_DAY),
            "condensed_kg_per_year": float(self.air.condensed.sum() * SECONDS_PER_HOUR * per_year),
            "ventilation_heat_kWh_per_year": float(self.ventilation_heat.sum() * kwh * per_year),
        }


@dataclass(frozen=True)
class WallUptake:
    """What a wall takes from the air of a room, around a vapour pressure for which that is known.

    Attributes
    ----------
    stores : tuple of Buffer
        Linear likeness of the wall's surface.
    rest : array, shape (hours,)
        Vapour into the wall that the stores do not account for [kg/s].
    slope : array, shape (hours,)
        Change of that with the vapour pressure of the room [kg/(s Pa)].
    pressure : array, shape (hours,)
        At which it is `rest` [Pa].
    """

    stores: tuple[Buffer, ...]
    rest: FloatArray
    slope: FloatArray
    pressure: FloatArray


def balanced_room(spec: RoomBalance, weather: xr.Dataset, wall: WallUptake | None = None) -> BalancedRoom:
    """Work out the climate of a room, such that the record can be repeated for ever.

    Parameters
    ----------
    spec : RoomBalance
        The room.
    weather : xarray.Dataset
        From `hygro.climate.load_weather`.
    wall : WallUptake, optional
        A wall that exchanges moisture with the room. Its stores are the last of `BalancedRoom.air.buffered`.

    Returns
    -------
    BalancedRoom
        As long as the weather.
    """
    outdoor = weather["air_temperature"].to_numpy() + ZERO_CELSIUS
    pressure = weather["relative_humidity"].to_numpy() * saturation_pressure(outdoor)
    hour = solar_hours(weather)
    setpoint = by_hour(spec.setpoint, hour) + ZERO_CELSIUS
    temperature = room_temperature(setpoint, outdoor + spec.free_rise, spec.time_constant)
    balanced, leaking = _flows(spec, weather, temperature - outdoor, hour)
    production = _production(spec, hour)
    buffers = [] if spec.buffer_area == 0.0 else [surface_buffer(spec.buffer_area, spec.buffer_value)]
    taken: FloatArray | float = 0.0
    surface = None
    if wall is not None:
        taken, surface = wall.rest, (wall.slope, wall.pressure)
        buffers += wall.stores
    air = room_air(
        volume=spec.volume,
        exchange=(1.0 - spec.moisture_recovery) * balanced + leaking,
        temperature=temperature,
        outdoor_pressure=pressure,
        source=production - taken,
        buffers=buffers,
        surface=surface,
    )
    warmed = (1.0 - spec.heat_recovery) * balanced + leaking
    heat = AIR_DENSITY * AIR_HEAT_CAPACITY * warmed * np.maximum(temperature - outdoor, 0.0)
    heat[temperature > setpoint] = 0.0
    changes = (balanced + leaking) * SECONDS_PER_HOUR / spec.volume
    return BalancedRoom(temperature, air, outdoor, pressure, changes, production, heat)


def room_temperature(setpoint: FloatArray, free: FloatArray, time_constant: float) -> FloatArray:
    """Temperature of a heated room.

    Parameters
    ----------
    setpoint : array, shape (hours,)
        What the heating holds [K].
    free : array, shape (hours,)
        Where the room would settle without it [K].
    time_constant : float
        How slowly [h].

    Returns
    -------
    array, shape (hours,)
        The setpoint, or more while the room is warm of itself: hour by hour it drifts towards `free`, and the
        heating steps in where it would fall below the setpoint. The record starts as it ends [K].
    """
    kept = float(np.exp(-1.0 / time_constant))
    values = np.empty(len(setpoint))
    now = before = float(max(setpoint[0], free.mean()))
    for _ in range(20):
        for hour, (least, target) in enumerate(zip(setpoint, free, strict=True)):
            now = max(float(least), float(target) + (now - float(target)) * kept)
            values[hour] = now
        if abs(now - before) < 1e-9:
            break
        before = now
    return values


def surface_buffer(area: float, value: float) -> Buffer:
    """Return the store that surfaces of a moisture buffer value make.

    Parameters
    ----------
    area : float
        [m2].
    value : float
        Moisture buffer value [g/(m2 %)]: what the surface takes up and gives off each day between 8 h at 75 %
        and 16 h at 33 %, per step of humidity (Rode et al. 2005).

    Returns
    -------
    Buffer
        It shows that value in that test.
    """
    return Buffer(area * BUFFER_CONDUCTANCE, area * buffer_capacity(0.1 * value))


def solar_hours(weather: xr.Dataset) -> NDArray[np.int64]:
    """Return the hour of the day (0 to 23) that each hour of a record is in mean solar time."""
    begins = weather["time"].to_numpy().astype("datetime64[h]") - np.timedelta64(1, "h")
    utc = (begins - begins.astype("datetime64[D]")).astype(np.int64)
    return (utc + round(float(weather.attrs["longitude"]) / 15.0)) % 24


def by_hour(schedule: Schedule, hour: NDArray[np.int64]) -> FloatArray:
    """Spread a schedule over the hours of a record, given their hours of the day."""
    if isinstance(schedule, tuple):
        return np.asarray(schedule, dtype=float)[hour]
    return np.full(len(hour), float(schedule))


def _flows(
    spec: RoomBalance,
    weather: xr.Dataset,
    difference: FloatArray,
    hour: NDArray[np.int64],
) -> tuple[FloatArray, FloatArray]:
    """Return air exchange of vents and of fans and leaks [m3/s]; recovery acts on the first."""
    daily = daily_mean(weather["air_temperature"].to_numpy())
    changes = by_hour(spec.air_changes, hour) + spec.air_changes_rise * np.maximum(
        daily - spec.rise_above, 0.0
    )
    balanced = changes * spec.volume / SECONDS_PER_HOUR
    leaks = np.full(len(hour), spec.infiltration * spec.volume / SECONDS_PER_HOUR)
    if spec.leakage_n50 is not None:
        area = leakage_area(spec.leakage_n50, spec.volume)
        wind = weather["wind_speed"].to_numpy()
        leaks = np.asarray(
            leakage_flow(area, difference, wind, storeys=spec.storeys, shelter=spec.shelter), dtype=float
        )
    extract = by_hour(spec.extract, hour) / SECONDS_PER_HOUR
    return balanced, combined_flow(np.zeros_like(balanced), extract, leaks)


def _production(spec: RoomBalance, hour: NDArray[np.int64]) -> FloatArray:
    mean = spec.moisture / SECONDS_PER_DAY
    if spec.moisture_shares is None:
        return np.full(len(hour), mean)
    shares = np.asarray(spec.moisture_shares, dtype=float)
    return mean * (shares / shares.mean())[hour]
