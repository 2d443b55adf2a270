"""Moisture storage: water content in equilibrium with a suction (or a relative humidity at 20 degC).

Every curve answers `water_content(suction)`. Curves stated over relative humidity are converted with the
Kelvin relation at 293.15 K, so that the solver sees one state variable from dry air to rain-wet stone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np

from hygro.constants import GAS_CONSTANT_VAPOUR, REFERENCE_TEMPERATURE, WATER_DENSITY
from hygro.errors import MaterialError
from hygro.physics import moist_air
from hygro.physics.typing import FloatArray

KELVIN_PRESSURE = WATER_DENSITY * GAS_CONSTANT_VAPOUR * REFERENCE_TEMPERATURE
"""Suction over minus the logarithm of relative humidity at 20 degC [Pa]."""

WETTEST_LOG_SUCTION = 0.0
"""log10 of the suction [Pa] at and below which a measured curve has reached free saturation."""

CONTINUATION_STEP = 0.2
"""Decades of suction between the points that continue a measured curve to free saturation."""

DRYING_FRACTIONS = (0.5, 0.2, 0.05, 0.01, 1e-3, 1e-5)
"""Shares of the lowest measured humidity at which points are added on the straight line to dry."""


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
class MeasuredPoints:
    """Monotone cubic over log10 suction through measured points.

    Below the lowest humidity the water content is taken proportional to humidity, as in the adsorption of a
    first layer. From the wettest point the curve goes on to free saturation at 1 Pa along the hyperbola of
    `HyperbolicStorage` through that point.

    Parameters
    ----------
    suction : tuple of float
        Strictly falling, 1 to 1e10 Pa.
    water : tuple of float
        Water content at those suctions, strictly rising, above 0 [kg/m3].
    free_saturation : float
        [kg/m3], at least the last water content.
    """

    suction: tuple[float, ...]
    water: tuple[float, ...]
    free_saturation: float

    def __post_init__(self) -> None:
        suction, water = np.array(self.suction), np.array(self.water)
        if len(suction) != len(water) or len(suction) < 1:
            raise MaterialError("a storage curve needs as many water contents as humidities or suctions")
        if np.any(np.diff(suction) >= 0.0) or np.any(np.diff(water) <= 0.0):
            raise MaterialError(
                "water content must rise with relative humidity (fall with suction) from point to point",
                found=[round(float(value), 6) for value in water],
            )
        if water[0] <= 0.0 or suction[-1] < 1.0:
            raise MaterialError(
                "a storage curve needs water contents above 0 and suctions of 1 Pa or more",
                found=(float(water[0]), float(suction[-1])),
                hint="the dry end (0 % humidity, no water) is added without being listed",
            )
        if water[-1] > self.free_saturation - 1e-9 and suction[-1] > 1.0:
            raise MaterialError(
                "the storage curve reaches free saturation before the wet end",
                found=float(water[-1]),
                expected=f"less than {self.free_saturation:g} kg/m3",
            )

    @classmethod
    def from_humidity(
        cls, humidity: Sequence[float], water: Sequence[float], free_saturation: float
    ) -> MeasuredPoints:
        """Build from relative humidities at 20 degC.

        Parameters
        ----------
        humidity : sequence of float
            Strictly rising, above 0 and below 1, except that a first point (0, 0) and a last point at 1 are
            understood.
        water : sequence of float
            [kg/m3].
        free_saturation : float
            [kg/m3].
        """
        phi, w = np.asarray(humidity, dtype=float), np.asarray(water, dtype=float)
        if phi.shape != w.shape or phi.ndim != 1:
            raise MaterialError("a storage curve needs as many water contents as humidities")
        inside = (phi > 0.0) & (phi < 1.0)
        if np.any((phi < 0.0) | (phi > 1.0)):
            raise MaterialError("relative humidity lies outside 0 to 1", found=[float(p) for p in phi])
        if np.any((phi == 0.0) & (w != 0.0)) or np.any((phi == 1.0) & (np.abs(w - free_saturation) > 1e-9)):
            raise MaterialError(
                "the ends of the storage curve contradict dry and free saturation",
                found=[float(value) for value in w[~inside]],
                expected=f"0 at humidity 0 and {free_saturation:g} kg/m3 at humidity 1",
            )
        suction = suction_at_reference(phi[inside])
        return cls(tuple(map(float, suction)), tuple(map(float, w[inside])), free_saturation)

    @cached_property
    def _curve(self) -> Callable[[FloatArray], FloatArray]:
        from hygro.materials.interpolation import monotone_cubic

        first_humidity = humidity_at_reference(np.array(self.suction[0]))
        shares = np.array(DRYING_FRACTIONS)
        dry_suction = suction_at_reference(first_humidity * shares)
        wet_log_suction, wet_water = self._continuation()
        log_suction = np.concatenate([np.log10(dry_suction[::-1]), np.log10(self.suction), wet_log_suction])
        water = np.concatenate([self.water[0] * shares[::-1], self.water, wet_water])
        return monotone_cubic(log_suction[::-1], water[::-1])

    def _continuation(self) -> tuple[FloatArray, FloatArray]:
        """Points between the wettest one and free saturation."""
        start = float(np.log10(self.suction[-1]))
        if start <= WETTEST_LOG_SUCTION:
            return np.empty(0), np.empty(0)
        number = max(int(np.ceil((start - WETTEST_LOG_SUCTION) / CONTINUATION_STEP)), 1)
        log_suction = np.linspace(start, WETTEST_LOG_SUCTION, number + 1)[1:]
        humidity = float(humidity_at_reference(np.array(self.suction[-1])))
        if self.water[-1] >= self.free_saturation * humidity:
            return log_suction[-1:], np.array([self.free_saturation])
        tail = HyperbolicStorage.through(self.free_saturation, [humidity], [self.water[-1]])
        water = tail.water_content(10.0**log_suction)
        water[-1] = self.free_saturation
        return log_suction, water

    def water_content(self, suction: FloatArray) -> FloatArray:
        """Water content [kg/m3] at a suction [Pa]."""
        return self._curve(np.log10(suction))

    def __getstate__(self) -> dict[str, object]:
        return {key: value for key, value in self.__dict__.items() if key != "_curve"}


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
