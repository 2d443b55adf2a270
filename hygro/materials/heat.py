"""Thermal conductivity and how it grows with water."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from hygro.constants import WATER_DENSITY
from hygro.errors import MaterialError
from hygro.physics.typing import FloatArray


class HeatCurve(Protocol):
    """Anything that gives a thermal conductivity for a water content."""

    def conductivity(self, water_content: FloatArray) -> FloatArray:
        """Thermal conductivity [W/(m K)] at a water content [kg/m3]."""
        ...


@dataclass(frozen=True)
class LinearConductivity:
    """lambda = lambda_dry + slope * w.

    Parameters
    ----------
    dry : float
        [W/(m K)].
    slope : float
        Growth per water content [W m2/(kg K)]; 0 for none.
    """

    dry: float
    slope: float = 0.0

    def __post_init__(self) -> None:
        if self.slope < 0.0:
            raise MaterialError("thermal conductivity must not fall as water is added", found=self.slope)

    def conductivity(self, water_content: FloatArray) -> FloatArray:
        """Thermal conductivity [W/(m K)]."""
        return self.dry + self.slope * np.asarray(water_content, dtype=float)


@dataclass(frozen=True)
class ConductivityPoints:
    """Linear between points over water content, constant outside.

    Parameters
    ----------
    water_content : tuple of float
        Strictly rising [kg/m3].
    values : tuple of float
        Not falling [W/(m K)].
    """

    water_content: tuple[float, ...]
    values: tuple[float, ...]

    def __post_init__(self) -> None:
        w, values = np.array(self.water_content), np.array(self.values)
        if w.shape != values.shape or w.size < 2 or np.any(np.diff(w) <= 0.0):
            raise MaterialError("a conductivity table needs two or more water contents that rise")
        if values[0] <= 0.0 or np.any(np.diff(values) < 0.0):
            raise MaterialError("thermal conductivity must not fall as water is added", found=self.values)

    def conductivity(self, water_content: FloatArray) -> FloatArray:
        """Thermal conductivity [W/(m K)]."""
        return np.interp(water_content, self.water_content, self.values)


@dataclass(frozen=True)
class ExponentialConductivity:
    """lambda = lambda_dry exp(f_psi psi), psi the volumetric water content; held constant above `up_to`.

    Parameters
    ----------
    dry : float
        [W/(m K)].
    factor : float
        f_psi [m3/m3].
    up_to : float
        Water content above which the standard's factor no longer holds [kg/m3].

    References
    ----------
    EN ISO 10456:2007, section 7.3.
    """

    dry: float
    factor: float
    up_to: float

    def __post_init__(self) -> None:
        if self.factor < 0.0 or self.up_to <= 0.0:
            raise MaterialError(
                "the exponential form needs a factor of 0 or more and an end above 0",
                found=(self.factor, self.up_to),
            )

    def conductivity(self, water_content: FloatArray) -> FloatArray:
        """Thermal conductivity [W/(m K)]."""
        psi = np.minimum(water_content, self.up_to) / WATER_DENSITY
        return self.dry * np.exp(self.factor * psi)


@dataclass(frozen=True)
class HeatFunction:
    """A Python function of water content.

    Parameters
    ----------
    function : callable
        Takes water content [kg/m3] as an array and returns thermal conductivity [W/(m K)].
    """

    function: Callable[[FloatArray], FloatArray]

    def conductivity(self, water_content: FloatArray) -> FloatArray:
        """Thermal conductivity [W/(m K)]."""
        return np.asarray(self.function(water_content), dtype=float)
