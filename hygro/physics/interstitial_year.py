"""Twelve months of condensation and evaporation: the yearly balance of ISO 13788."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from hygro.physics.interstitial import Layers, plane_temperatures, vapour_line
from hygro.physics.moist_air import saturation_pressure
from hygro.physics.typing import FloatArray

MONTHS: Final = 12

MONTH_SECONDS: Final = 86400.0 * np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31], dtype=np.float64)
"""Length of each month without 29 February [s]."""

Verdict = Literal["no condensation", "evaporates", "accumulates"]


@dataclass(frozen=True)
class MonthlyClimate:
    """Monthly means of the air on both sides, January to December.

    Parameters
    ----------
    external_temperature, internal_temperature : array, shape (12,)
        [K].
    external_pressure, internal_pressure : array, shape (12,)
        Vapour pressure [Pa].

    Raises
    ------
    ValueError
        An array does not hold twelve finite values.
    """

    external_temperature: FloatArray
    external_pressure: FloatArray
    internal_temperature: FloatArray
    internal_pressure: FloatArray

    def __post_init__(self) -> None:
        for name, values in vars(self).items():
            if values.shape != (MONTHS,) or not np.all(np.isfinite(values)):
                raise ValueError(f"{name} needs twelve finite values")


@dataclass(frozen=True)
class YearlyBalance:
    """Water at the planes of a wall through a year, January to December.

    Parameters
    ----------
    first : int
        Month in which the balance starts without any water: the first that condenses, 0 for January.
    rate : array, shape (12, planes)
        g_c, mean of the month, negative where water evaporates [kg/(m2 s)].
    amount : array, shape (12, planes)
        M_a at the end of the month [kg/m2].
    surface_dew : array of bool, shape (12,)
        Whether the air of the room is saturated at the internal surface; what condenses there is not counted.
    """

    first: int
    rate: FloatArray
    amount: FloatArray
    surface_dew: NDArray[np.bool_]

    @property
    def order(self) -> list[int]:
        """Months in the order of the balance."""
        return [(self.first + k) % MONTHS for k in range(MONTHS)]

    @property
    def left(self) -> FloatArray:
        """What is left at each plane after the twelve months, shape (planes,) [kg/m2]."""
        return self.amount[self.first - 1]

    @property
    def greatest(self) -> FloatArray:
        """Greatest M_a of each plane, shape (planes,) [kg/m2]."""
        return self.amount.max(axis=0)

    @property
    def verdict(self) -> Verdict:
        """What becomes of the water within the year; ISO 13788:2012."""
        if not np.any(self.amount > 0.0):
            return "no condensation"
        return "accumulates" if np.any(self.left > 0.0) else "evaporates"


def yearly_balance(layers: Layers, climate: MonthlyClimate) -> YearlyBalance:
    """Balance condensation and evaporation month by month, starting dry with the first condensing month.

    Where a plane dries up within a month, the rest of that month goes on without it. With one plane this is
    the rule of ISO 13788, which sets a negative amount to 0; with several, the neighbours see that it is dry.

    Parameters
    ----------
    layers : Layers
        The wall.
    climate : MonthlyClimate
        Monthly means.

    Returns
    -------
    YearlyBalance
        Rates and amounts at the planes.

    References
    ----------
    ISO 13788:2012, second-hand; its own monthly example was not available.
    """
    saturation = np.array(
        [
            saturation_pressure(plane_temperatures(layers, external, internal))
            for external, internal in zip(
                climate.external_temperature, climate.internal_temperature, strict=True
            )
        ]
    )
    first = _first_month(layers, saturation, climate)
    amount = np.zeros_like(saturation)
    rate = np.zeros_like(saturation)
    held = np.zeros(saturation.shape[1])
    for k in range(MONTHS):
        month = (first + k) % MONTHS
        pressures = (float(climate.external_pressure[month]), float(climate.internal_pressure[month]))
        after = _after_month(layers, saturation[month], pressures, held, float(MONTH_SECONDS[month]))
        rate[month] = (after - held) / MONTH_SECONDS[month]
        amount[month] = held = after
    return YearlyBalance(first, rate, amount, climate.internal_pressure > saturation[:, -1])


def _first_month(layers: Layers, saturation: FloatArray, climate: MonthlyClimate) -> int:
    """Find the first condensing month after the longest run of dry ones; January where there is none."""
    condenses = [
        bool(np.any(vapour_line(layers.s_d, *month).rate > 0.0))
        for month in zip(saturation, climate.external_pressure, climate.internal_pressure, strict=True)
    ]
    if all(condenses) or not any(condenses):
        return 0

    def months_without(month: int) -> int:
        return next(k for k in range(MONTHS) if condenses[month - 1 - k])

    return max((month for month in range(MONTHS) if condenses[month]), key=months_without)


def _after_month(
    layers: Layers,
    saturation: FloatArray,
    pressures: tuple[float, float],
    held: FloatArray,
    seconds: float,
) -> FloatArray:
    """Water at the planes at the end of a month [kg/m2]."""
    held = held.copy()
    # A plane that has dried up stays below saturation, for the line of its neighbours passes below it; so
    # each turn of the loop dries one at least, and none turns wet again.
    while seconds > 0.0:
        rate = vapour_line(layers.s_d, saturation, *pressures, held > 0.0).rate
        until_dry = np.full_like(held, np.inf)
        drying = rate < 0.0
        until_dry[drying] = -held[drying] / rate[drying]
        step = min(seconds, float(until_dry.min()))
        held = np.where(until_dry <= step, 0.0, np.maximum(held + rate * step, 0.0))
        seconds -= step
    return held
