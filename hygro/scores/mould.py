"""Mould index M from 0 (none) to 6 (tight growth all over), hour by hour.

Growth: Hukka and Viitanen 1999, Wood Science and Technology 33, 475-485; material classes: Ojanen,
Viitanen, Peuhkuri, Lahdesmaki, Vinha and Salminen 2010, Mold growth modeling of building structures using
sensitivity classes of materials. Coefficients are read second-hand, through two independent texts that
agree.

The index marches with explicit hourly steps:  M += k1 k2 / (7 t_m) / 24  in favourable hours, where t_m is
the time in weeks to M = 1 on pine, k1 how fast the material is against pine and k2 how near M is to its
ceiling M_max. In other hours M falls, by an amount that depends on how long it has been dry and on the
material.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, TypeVar

import numpy as np
from numba import njit
from numpy.typing import NDArray

from hygro.errors import ResultError
from hygro.physics.typing import FloatArray
from hygro.scores.mould_classes import DECLINES, SENSITIVITIES

T = TypeVar("T")

_HOURS_PER_WEEK: Final = 168.0
_WARM_LIMIT: Final = 50.0  # degC; no growth from here on
_POLYNOMIAL_END: Final = 20.0  # degC; above, the least humidity of the class stands
_FAST_DECLINE: Final = 0.032 / 24.0  # per hour, first 6 h of dry time; printed as 0.00133 too
_SLOW_DECLINE: Final = 0.016 / 24.0  # per hour, after 24 h; printed as 0.000667 too
_FAST_HOURS: Final = 6
_REST_HOURS: Final = 24


def mould_index(
    temperature_C: FloatArray,  # noqa: N803
    relative_humidity_percent: FloatArray,
    sensitivity: str | Sequence[str],
    decline: str | Sequence[str],
    *,
    initial: float = 0.0,
) -> FloatArray:
    """Mould index with the material classes of 2010.

    Parameters
    ----------
    temperature_C : array, shape (hours,) or (hours, places)
        Surface or pore air temperature of each hour [degC].
    relative_humidity_percent : array, same shape
        [%]; above 100 counts as 100.
    sensitivity, decline : str or sequence of str
        Classes, one for all or one a place; keys in `hygro.scores.mould_classes`.
    initial : float
        Index before the first hour.

    Returns
    -------
    array, same shape
        Index at the end of each hour [1].

    Raises
    ------
    ResultError
        Where shapes differ, a value is not finite or a class is unknown.

    Notes
    -----
    Hours at or below 0 degC, from 50 degC, or under the critical humidity count as dry time. That frost
    counts is a reading of the sources: the published field comparison shows the index falling in a damp
    stage around 0 degC.
    """
    temperature, humidity = _columns(temperature_C, relative_humidity_percent)
    places = temperature.shape[1]
    classes = _per_place(sensitivity, SENSITIVITIES, "mould sensitivity class", places)
    factors = np.array(_per_place(decline, DECLINES, "mould decline class", places))
    coefficient = {
        key: np.array([getattr(entry, key) for entry in classes])
        for key in ("k1_below", "k1_above", "a", "b", "c", "least_humidity")
    }
    critical = critical_humidity(temperature, coefficient["least_humidity"])
    grows = _favourable(temperature, humidity, critical)
    ratio = _ceiling_ratio(humidity, critical, grows)
    ceiling = coefficient["a"] + coefficient["b"] * ratio - coefficient["c"] * ratio**2
    pine = _hourly_growth_of_pine(temperature, humidity, grows, 0.0, 0.0)
    index = _march(
        grows,
        pine * coefficient["k1_below"],
        pine * coefficient["k1_above"],
        ceiling,
        hourly_decline(grows) * factors,
        initial,
    )
    return index.reshape(np.shape(temperature_C))


def mould_index_1999(
    temperature_C: FloatArray,  # noqa: N803
    relative_humidity_percent: FloatArray,
    *,
    spruce: bool = False,
    kiln_dried: bool = False,
    initial: float = 0.0,
) -> FloatArray:
    """Mould index of pine or spruce sapwood with the equations of 1999.

    Parameters
    ----------
    temperature_C, relative_humidity_percent, initial
        As in `mould_index`.
    spruce : bool
        Spruce instead of pine (W).
    kiln_dried : bool
        Surface as it left the kiln instead of sawn (SQ).

    Returns
    -------
    array, same shape
        Index at the end of each hour [1].
    """
    temperature, humidity = _columns(temperature_C, relative_humidity_percent)
    critical = critical_humidity(temperature, np.array([80.0]))
    grows = _favourable(temperature, humidity, critical)
    ratio = _ceiling_ratio(humidity, critical, grows)
    safe_temperature = np.where(grows, temperature, _POLYNOMIAL_END)
    k1 = k1_1999(safe_temperature, humidity, spruce=spruce, kiln_dried=kiln_dried)
    below = _hourly_growth_of_pine(temperature, humidity, grows, float(spruce), float(kiln_dried))
    ceiling = 1.0 + 7.0 * ratio - 2.0 * ratio**2
    index = _march(grows, below, below * k1, ceiling, hourly_decline(grows), initial)
    return index.reshape(np.shape(temperature_C))


def critical_humidity(temperature_C: FloatArray, least_humidity: FloatArray) -> FloatArray:  # noqa: N803
    """Humidity under which nothing grows, however long [%].

    Parameters
    ----------
    temperature_C : array
        [degC]; the polynomial is fitted from 5 to 40 degC and used up to 20 degC.
    least_humidity : array
        Of the class [%], broadcast against the temperature.

    Returns
    -------
    array
    """
    t = np.clip(temperature_C, 0.0, _POLYNOMIAL_END)
    polynomial = -0.00267 * t**3 + 0.160 * t**2 - 3.13 * t + 100.0
    return np.where(temperature_C > _POLYNOMIAL_END, least_humidity, np.maximum(polynomial, least_humidity))


def weeks_to_first_growth(
    temperature_C: FloatArray,  # noqa: N803
    relative_humidity_percent: FloatArray,
    w: float = 0.0,
    sq: float = 0.0,
) -> FloatArray:
    """Time t_m to M = 1 on sapwood at constant climate [weeks]; w 1 for spruce, sq 1 if kiln-dried."""
    log_t, log_rh = np.log(temperature_C), np.log(relative_humidity_percent)
    return np.exp(-0.68 * log_t - 13.9 * log_rh + 0.14 * w - 0.33 * sq + 66.02)


def weeks_to_visible_growth(
    temperature_C: FloatArray,  # noqa: N803
    relative_humidity_percent: FloatArray,
    w: float = 0.0,
) -> FloatArray:
    """Time t_v to M = 3 on sapwood at constant climate [weeks]; w 1 for spruce."""
    log_t, log_rh = np.log(temperature_C), np.log(relative_humidity_percent)
    return np.exp(-0.74 * log_t - 12.72 * log_rh + 0.06 * w + 61.50)


def k1_1999(
    temperature_C: FloatArray,  # noqa: N803
    relative_humidity_percent: FloatArray,
    *,
    spruce: bool = False,
    kiln_dried: bool = False,
) -> FloatArray:
    """Growth factor k1 of 1999 for M >= 1, 2 / (t_v / t_m - 1) [1]."""
    w, sq = float(spruce), float(kiln_dried)
    visible = weeks_to_visible_growth(temperature_C, relative_humidity_percent, w)
    return 2.0 / (visible / weeks_to_first_growth(temperature_C, relative_humidity_percent, w, sq) - 1.0)


def hourly_decline(grows: NDArray[np.bool_]) -> FloatArray:
    """Fall of the index of pine in each hour, from how long it has been dry at the end of that hour.

    Parameters
    ----------
    grows : array of bool, shape (hours, places)
        Whether the hour is favourable.

    Returns
    -------
    array, same shape
        [1 per hour], 0 in favourable hours. From dry periods of 6 h to 14 d; few tests.
    """
    hour = np.arange(1, len(grows) + 1)[:, None]
    last_favourable = np.maximum.accumulate(np.where(grows, hour, 0), axis=0)
    dry_time = hour - last_favourable
    fall = np.where(dry_time > _REST_HOURS, _SLOW_DECLINE, 0.0)
    return np.where((dry_time > 0) & (dry_time <= _FAST_HOURS), _FAST_DECLINE, fall)


def _favourable(temperature: FloatArray, humidity: FloatArray, critical: FloatArray) -> NDArray[np.bool_]:
    warm_enough = (temperature > 0.0) & (critical < 100.0)
    return (humidity >= critical) & warm_enough & (temperature < _WARM_LIMIT)


def _ceiling_ratio(humidity: FloatArray, critical: FloatArray, grows: NDArray[np.bool_]) -> FloatArray:
    ratio = np.zeros(humidity.shape)
    ratio[grows] = (critical[grows] - humidity[grows]) / (critical[grows] - 100.0)
    return ratio


def _hourly_growth_of_pine(
    temperature: FloatArray, humidity: FloatArray, grows: NDArray[np.bool_], w: float, sq: float
) -> FloatArray:
    growth = np.zeros(temperature.shape)
    growth[grows] = 1.0 / (
        _HOURS_PER_WEEK * weeks_to_first_growth(temperature[grows], humidity[grows], w, sq)
    )
    return growth


@njit(cache=True)
def _march(
    grows: NDArray[np.bool_],
    below: FloatArray,
    above: FloatArray,
    ceiling: FloatArray,
    fall: FloatArray,
    initial: float,
) -> FloatArray:
    """Step the index through the hours; all arrays (hours, places)."""
    hours, places = below.shape
    index = np.empty((hours, places))
    for place in range(places):
        m = initial
        for hour in range(hours):
            if grows[hour, place]:
                growth = above[hour, place] if m >= 1.0 else below[hour, place]
                m += growth * max(1.0 - np.exp(2.3 * (m - ceiling[hour, place])), 0.0)
            else:
                m = max(m - fall[hour, place], 0.0)
            index[hour, place] = m
    return index


def _columns(temperature: FloatArray, humidity: FloatArray) -> tuple[FloatArray, FloatArray]:
    t, rh = np.asarray(temperature, dtype=np.float64), np.asarray(humidity, dtype=np.float64)
    if t.shape != rh.shape or t.ndim not in (1, 2):
        raise ResultError(
            "temperature and humidity differ in shape",
            found=(t.shape, rh.shape),
            expected="(hours,) or (hours, places)",
        )
    if not (np.isfinite(t).all() and np.isfinite(rh).all()):
        raise ResultError("temperature or humidity is not finite", expected="a number in every hour")
    columns = (len(t), -1)
    return t.reshape(columns), np.clip(rh.reshape(columns), 0.0, 100.0)


def _per_place(names: str | Sequence[str], known: dict[str, T], what: str, places: int) -> list[T]:
    listed = [names] * places if isinstance(names, str) else list(names)
    if len(listed) != places:
        raise ResultError(f"there is not one {what} a place", found=len(listed), expected=f"{places}")
    for name in listed:
        if name not in known:
            raise ResultError(f"the {what} is unknown", found=name, expected=f"one of {', '.join(known)}")
    return [known[name] for name in listed]
