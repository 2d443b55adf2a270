"""Boundaries from arrays: the door for published cases, logged data and people who write Python."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from hygro.errors import ClimateError
from hygro.model.wall import Boundary
from hygro.physics import moist_air
from hygro.physics.typing import FloatArray

LOWEST_SUCTION = 1.0
"""Suction that stands for a relative humidity of 100 % [Pa]: free saturation in the tables."""

_BOUNDS = {
    "temperature": (200.0, 400.0, "K; values in degC need 273.15 added"),
    "air_temperature": (200.0, 400.0, "K; values in degC need 273.15 added"),
    "vapour_pressure": (0.0, 2.0e4, "Pa"),
    "relative_humidity": (1e-9, 1.0, "1, not %"),
    "suction": (0.0, 1.0e10, "Pa"),
    "heat_coefficient": (1e-6, 1.0e6, "W/(m2 K)"),
    "vapour_coefficient": (0.0, 1.0, "kg/(m2 s Pa)"),
    "rain": (0.0, 1.0, "kg/(m2 s); 1 mm/h is 2.8e-4"),
}
"""Bounds that catch a wrong unit, and the unit."""


def series_boundary(
    *,
    temperature: ArrayLike,
    heat_coefficient: ArrayLike,
    vapour_coefficient: ArrayLike,
    vapour_pressure: ArrayLike | None = None,
    relative_humidity: ArrayLike | None = None,
    rain: ArrayLike = 0.0,
    air_temperature: ArrayLike | None = None,
    hours: int | None = None,
) -> Boundary:
    """Make a boundary of air behind surface coefficients from hourly values.

    Parameters
    ----------
    temperature : array_like, shape (hours,) or ()
        Of the air, or the equivalent temperature where solar and long-wave gains are folded in [K].
    heat_coefficient : array_like
        [W/(m2 K)].
    vapour_coefficient : array_like
        [kg/(m2 s Pa)]; 0 closes the surface to vapour.
    vapour_pressure, relative_humidity : array_like, one of them
        Of the air [Pa] or [1].
    rain : array_like
        Rain that may be taken up [kg/(m2 s)].
    air_temperature : array_like, optional
        Of the air where `temperature` is an equivalent temperature [K].
    hours : int, optional
        Length; needed where all values are single numbers.

    Returns
    -------
    Boundary
        Of kind "transfer".

    Raises
    ------
    ClimateError
        A value is not finite or outside the bounds of its unit, or lengths differ.
    """
    if (vapour_pressure is None) == (relative_humidity is None):
        raise ClimateError("a boundary needs either a vapour pressure or a relative humidity")
    given = {
        "temperature": temperature,
        "air_temperature": temperature if air_temperature is None else air_temperature,
        "heat_coefficient": heat_coefficient,
        "vapour_coefficient": vapour_coefficient,
        "rain": rain,
        "vapour_pressure": vapour_pressure,
        "relative_humidity": relative_humidity,
    }
    values = _spread({name: value for name, value in given.items() if value is not None}, hours)
    pressure = values.get("vapour_pressure")
    if pressure is None:
        pressure = values["relative_humidity"] * moist_air.saturation_pressure(values["air_temperature"])
    return Boundary(
        kind="transfer",
        temperature=values["temperature"],
        air_temperature=values["air_temperature"],
        vapour_pressure=pressure,
        heat_coefficient=values["heat_coefficient"],
        vapour_coefficient=values["vapour_coefficient"],
        rain=values["rain"],
        suction=np.zeros_like(pressure),
    )


def constant_boundary(
    *,
    hours: int,
    temperature: float,
    heat_coefficient: float,
    vapour_coefficient: float,
    vapour_pressure: float | None = None,
    relative_humidity: float | None = None,
    rain: float = 0.0,
) -> Boundary:
    """Make a boundary of air that never changes.

    Parameters
    ----------
    hours : int
        Length.
    temperature, heat_coefficient, vapour_coefficient, vapour_pressure, relative_humidity, rain : float
        As for `series_boundary`.

    Returns
    -------
    Boundary
        Of kind "transfer".

    Raises
    ------
    ClimateError
        As for `series_boundary`.
    """
    return series_boundary(
        temperature=temperature,
        heat_coefficient=heat_coefficient,
        vapour_coefficient=vapour_coefficient,
        vapour_pressure=vapour_pressure,
        relative_humidity=relative_humidity,
        rain=rain,
        hours=hours,
    )


def fixed_boundary(
    *,
    temperature: ArrayLike,
    relative_humidity: ArrayLike | None = None,
    suction: ArrayLike | None = None,
    hours: int | None = None,
) -> Boundary:
    """Make a boundary that fixes the state of the surface itself.

    Parameters
    ----------
    temperature : array_like, shape (hours,) or ()
        Of the surface [K].
    relative_humidity, suction : array_like, one of them
        Of the pores at the surface [1] or [Pa].
    hours : int, optional
        Length; needed where all values are single numbers.

    Returns
    -------
    Boundary
        Of kind "fixed". Its vapour pressure is that of the surface, its coefficients are 0 and unused.

    Raises
    ------
    ClimateError
        As for `series_boundary`.
    """
    if (relative_humidity is None) == (suction is None):
        raise ClimateError("a fixed surface needs either a relative humidity or a suction")
    given = {"temperature": temperature, "relative_humidity": relative_humidity, "suction": suction}
    values = _spread({name: value for name, value in given.items() if value is not None}, hours)
    kelvin = values["temperature"]
    pull = values.get("suction")
    if pull is None:
        pull = moist_air.suction(values["relative_humidity"], kelvin)
    pull = np.maximum(pull, LOWEST_SUCTION)
    nothing = np.zeros_like(kelvin)
    return Boundary(
        kind="fixed",
        temperature=kelvin,
        air_temperature=kelvin,
        vapour_pressure=moist_air.relative_humidity(pull, kelvin) * moist_air.saturation_pressure(kelvin),
        heat_coefficient=nothing,
        vapour_coefficient=nothing,
        rain=nothing,
        suction=pull,
    )


def _spread(given: dict[str, ArrayLike], hours: int | None) -> dict[str, FloatArray]:
    """Bring all values to one length and check them."""
    arrays = {name: np.asarray(value, dtype=float) for name, value in given.items()}
    lengths = {array.shape[0] for array in arrays.values() if array.ndim == 1}
    if hours is not None:
        lengths.add(hours)
    if len(lengths) != 1 or any(array.ndim > 1 for array in arrays.values()):
        found = ", ".join(f"{name} {array.shape}" for name, array in arrays.items())
        raise ClimateError(
            "the series of a boundary have no common length",
            found=found,
            expected="single numbers, or one value an hour",
        )
    length = lengths.pop()
    if length < 1:
        raise ClimateError("a boundary has no hours", found=length, expected="at least 1")
    for name, array in arrays.items():
        _check(name, array)
    return {name: np.array(np.broadcast_to(array, (length,))) for name, array in arrays.items()}


def _check(name: str, values: FloatArray) -> None:
    """Refuse what is not finite or cannot be in the unit asked for."""
    low, high, unit = _BOUNDS[name]
    wrong = ~((values >= low) & (values <= high))
    if wrong.any():
        hour = int(np.argmax(wrong))
        raise ClimateError(
            f"{name.replace('_', ' ')} of a boundary is impossible",
            where=f"hour {hour + 1}",
            found=float(np.ravel(values)[hour]),
            expected=f"{low:g} to {high:g} {unit}",
        )
