"""Moisture storage: water content in equilibrium with a suction (or a relative humidity at 20 degC).

Every curve answers `water_content(suction)`. Curves stated over relative humidity are converted with the
Kelvin relation at 293.15 K, so that the solver sees one state variable from dry air to rain-wet stone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from hygro.constants import GAS_CONSTANT_VAPOUR, REFERENCE_TEMPERATURE, WATER_DENSITY
from hygro.errors import MaterialError
from hygro.physics import moist_air
from hygro.physics.typing import FloatArray

KELVIN_PRESSURE = WATER_DENSITY * GAS_CONSTANT_VAPOUR * REFERENCE_TEMPERATURE
"""Suction over minus the logarithm of relative humidity at 20 degC [Pa]."""


def suction_at_reference(humidity: FloatArray) -> FloatArray:
    """Suction [Pa] in equilibrium with a relative humidity [1] at 20 degC."""
    return moist_air.suction(humidity, np.array(REFERENCE_TEMPERATURE))


def humidity_at_reference(suction: FloatArray) -> FloatArray:
    """Relative humidity [1] in equilibrium with a suction [Pa] at 20 degC."""
    return moist_air.relative_humidity(suction, np.array(REFERENCE_TEMPERATURE))


class StorageCurve(Protocol):
    """Anything that gives a water content for a suction."""

    def water_content(self, suction: FloatArray) -> FloatArray:
        """Water content [kg/m3] at a suction [Pa]."""
        ...


@dataclass(frozen=True)
class PoreClasses:
    """Sum of van Genuchten terms, w = w_top sum l_i [1 + (a_i s)^n_i]^(-m_i).

    Parameters
    ----------
    top : float
        Water content without suction: saturation, or free saturation where the curve stops there [kg/m3].
    weights, alphas, exponents, outer_exponents : tuple of float
        l_i [1] (they add up to 1), a_i [1/Pa], n_i [1] above 1, m_i [1].

    References
    ----------
    van Genuchten 1980, Soil Sci. Soc. Am. J. 44, 892-898; Durner 1994, Water Resour. Res. 30, 211-223.
    """

    top: float
    weights: tuple[float, ...]
    alphas: tuple[float, ...]
    exponents: tuple[float, ...]
    outer_exponents: tuple[float, ...]

    def __post_init__(self) -> None:
        lengths = {len(self.weights), len(self.alphas), len(self.exponents), len(self.outer_exponents)}
        if len(lengths) != 1:
            raise MaterialError(
                "the lists of a pore-class storage curve differ in length", found=sorted(lengths)
            )
        if abs(sum(self.weights) - 1.0) > 1e-6 or min(self.weights) <= 0.0:
            raise MaterialError("pore-class weights must be above 0 and add up to 1", found=self.weights)
        if min(self.alphas) <= 0.0 or min(self.exponents) <= 1.0 or min(self.outer_exponents) <= 0.0:
            raise MaterialError("pore classes need alpha > 0, n > 1 and m > 0", found=self)

    def water_content(self, suction: FloatArray) -> FloatArray:
        """Water content [kg/m3] at a suction [Pa]."""
        total = np.zeros_like(np.asarray(suction, dtype=float))
        terms = zip(self.weights, self.alphas, self.exponents, self.outer_exponents, strict=True)
        for weight, alpha, n, m in terms:
            total = total + weight * (1.0 + (alpha * suction) ** n) ** (-m)
        return self.top * total


@dataclass(frozen=True)
class LogarithmicStorage:
    """w = w_f / (1 - ln(phi) / a)^b, the form of the second HAMSTAD benchmark (Hagentoft 2002).

    Parameters
    ----------
    free_saturation : float
        w_f [kg/m3].
    a, b : float
        Both above 0 [1].
    """

    free_saturation: float
    a: float
    b: float

    def __post_init__(self) -> None:
        if self.a <= 0.0 or self.b <= 0.0:
            raise MaterialError("the logarithmic storage curve needs a and b above 0", found=(self.a, self.b))

    def water_content(self, suction: FloatArray) -> FloatArray:
        """Water content [kg/m3] at a suction [Pa]."""
        return self.free_saturation / (1.0 + suction / KELVIN_PRESSURE / self.a) ** self.b


@dataclass(frozen=True)
class HyperbolicStorage:
    """w = w_f (b - 1) phi / (b - phi), one free parameter.

    Parameters
    ----------
    free_saturation : float
        w_f [kg/m3].
    excess : float
        b - 1, above 0 [1].

    References
    ----------
    Kuenzel 1995.
    """

    free_saturation: float
    excess: float

    def __post_init__(self) -> None:
        if self.excess <= 0.0:
            raise MaterialError("the hyperbolic storage curve needs b above 1", found=1.0 + self.excess)

    @classmethod
    def through(
        cls, free_saturation: float, humidity: Sequence[float], water: Sequence[float]
    ) -> HyperbolicStorage:
        """Choose b from measured points: the geometric mean of the b - 1 that each point alone would give.

        Parameters
        ----------
        free_saturation : float
            w_f [kg/m3].
        humidity, water : sequence of float
            Points (relative humidity [1], water content [kg/m3]); one at 80 % is customary.
        """
        phi, w = np.asarray(humidity, dtype=float), np.asarray(water, dtype=float)
        if phi.shape != w.shape or phi.size == 0 or np.any((phi <= 0.0) | (phi >= 1.0) | (w <= 0.0)):
            raise MaterialError(
                "the hyperbolic storage curve needs points with humidity between 0 and 1 and water above 0"
            )
        room = free_saturation * phi - w
        if np.any(room <= 0.0):
            raise MaterialError(
                "a sorption point lies above the straight line to free saturation, where no b exists",
                found=float(w[np.argmin(room)]),
                expected=f"less than {free_saturation * float(phi[np.argmin(room)]):.4g} kg/m3",
            )
        excess = w * (1.0 - phi) / room
        return cls(free_saturation, float(np.exp(np.mean(np.log(excess)))))

    def water_content(self, suction: FloatArray) -> FloatArray:
        """Water content [kg/m3] at a suction [Pa]."""
        reduced = suction / KELVIN_PRESSURE
        # -expm1 keeps 1 - phi exact where phi is next to 1.
        return self.free_saturation * self.excess * np.exp(-reduced) / (self.excess - np.expm1(-reduced))


@dataclass(frozen=True)
class StorageFunction:
    """A Python function of suction.

    Parameters
    ----------
    function : callable
        Takes suction [Pa] as an array and returns water content [kg/m3].
    """

    function: Callable[[FloatArray], FloatArray]

    def water_content(self, suction: FloatArray) -> FloatArray:
        """Water content [kg/m3] at a suction [Pa]."""
        return np.asarray(self.function(suction), dtype=float)
