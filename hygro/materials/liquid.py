"""Liquid transport: from conductivity or diffusivity to the matric flux potential the solver works with.

The matric flux potential is the integral of liquid conductivity K over suction from the suction at hand to
infinity. Where a diffusivity D_w is given, K ds = D_w dw, so the same potential is the integral of D_w from
dry to the water content at hand, and nothing is lost by a detour through K.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from math import log

import numpy as np

from hygro.errors import MaterialError
from hygro.materials.interpolation import integrate_between, monotone_cubic
from hygro.materials.storage import StorageCurve
from hygro.physics.typing import FloatArray


class LiquidCurve(ABC):
    """How liquid moves in one material."""

    @abstractmethod
    def flux_potential(
        self, log_suction: FloatArray, water_content: FloatArray, storage: StorageCurve
    ) -> FloatArray:
        """Matric flux potential at the nodes of a table.

        Parameters
        ----------
        log_suction : array, shape (n,)
            log10 of suction in Pa, rising.
        water_content : array, shape (n,)
            At the nodes, never above free saturation [kg/m3].
        storage : StorageCurve
            Gives water content between nodes.

        Returns
        -------
        array, shape (n,)
            [kg/(m s)], never rising.
        """


class NoLiquid(LiquidCurve):
    """No liquid moves: only vapour."""

    def flux_potential(
        self, log_suction: FloatArray, water_content: FloatArray, storage: StorageCurve
    ) -> FloatArray:
        """Zero throughout."""
        return np.zeros_like(log_suction)


class ConductivityCurve(LiquidCurve):
    """Base of the curves that state the liquid conductivity K."""

    @abstractmethod
    def conductivity(self, suction: FloatArray, water_content: FloatArray) -> FloatArray:
        """Liquid conductivity K [kg/(m s Pa)] at a suction [Pa] and its water content [kg/m3]."""

    def flux_potential(
        self, log_suction: FloatArray, water_content: FloatArray, storage: StorageCurve
    ) -> FloatArray:
        """Integrate K over suction; what lies drier than the last node counts as nothing."""

        def integrand(x: FloatArray) -> FloatArray:
            suction = 10.0**x
            return self.conductivity(suction, storage.water_content(suction)) * suction * log(10.0)

        pieces = integrate_between(integrand, log_suction)
        return np.append(np.cumsum(pieces[::-1])[::-1], 0.0)


class DiffusivityCurve(LiquidCurve):
    """Base of the curves that state the liquid diffusivity D_w."""

    @abstractmethod
    def diffusivity(self, water_content: FloatArray) -> FloatArray:
        """Liquid diffusivity D_w [m2/s] at a water content [kg/m3]."""

    def flux_potential(
        self, log_suction: FloatArray, water_content: FloatArray, storage: StorageCurve
    ) -> FloatArray:
        """Integrate D_w over water content from dry."""
        rising = np.concatenate([[0.0], water_content[::-1]])
        return np.cumsum(integrate_between(self.diffusivity, rising))[::-1]


@dataclass(frozen=True)
class ConductivityTable(ConductivityCurve):
    """Monotone cubic of log K over log s; K is constant wetter than the points and falls on as a power drier.

    Parameters
    ----------
    suction : tuple of float
        Strictly rising [Pa].
    values : tuple of float
        K above 0, not rising [kg/(m s Pa)].
    """

    suction: tuple[float, ...]
    values: tuple[float, ...]

    def __post_init__(self) -> None:
        s, k = np.array(self.suction), np.array(self.values)
        if s.shape != k.shape or s.size < 2 or np.any(s <= 0.0) or np.any(k <= 0.0):
            raise MaterialError("a conductivity table needs two or more pairs of suction and K, all above 0")
        if np.any(np.diff(s) <= 0.0) or np.any(np.diff(k) > 0.0):
            raise MaterialError(
                "liquid conductivity must not rise with suction, and suction must rise", found=self.values
            )

    @cached_property
    def _curve(self) -> Callable[[FloatArray], FloatArray]:
        return monotone_cubic(np.log10(self.suction), np.log10(self.values))

    def conductivity(self, suction: FloatArray, water_content: FloatArray) -> FloatArray:
        """Liquid conductivity K [kg/(m s Pa)]."""
        x, k = np.log10(self.suction), np.log10(self.values)
        slope = (k[-1] - k[-2]) / (x[-1] - x[-2])
        at = np.log10(suction)
        return 10.0 ** (self._curve(at) + slope * np.maximum(at - x[-1], 0.0))

    def __getstate__(self) -> dict[str, object]:
        return {key: value for key, value in self.__dict__.items() if key != "_curve"}


@dataclass(frozen=True)
class ExponentialPolynomial(ConductivityCurve):
    """K = exp(c_0 + c_1 d + c_2 d^2 + ...), d = w scale - centre; form of EN 15026 annex A and HAMSTAD.

    Parameters
    ----------
    coefficients : tuple of float
        c_0 first; K in kg/(m s Pa).
    centre : float
        Subtracted from the water content, in its unit.
    scale : float
        1 for water content in kg/m3, 1e-3 for volumetric water content in m3/m3.
    """

    coefficients: tuple[float, ...]
    centre: float = 0.0
    scale: float = 1.0

    def conductivity(self, suction: FloatArray, water_content: FloatArray) -> FloatArray:
        """Liquid conductivity K [kg/(m s Pa)]."""
        distance = water_content * self.scale - self.centre
        return np.exp(np.polynomial.polynomial.polyval(distance, np.array(self.coefficients)))


@dataclass(frozen=True)
class ConductivityFunction(ConductivityCurve):
    """A Python function of suction.

    Parameters
    ----------
    function : callable
        Takes suction [Pa] as an array and returns K [kg/(m s Pa)].
    """

    function: Callable[[FloatArray], FloatArray]

    def conductivity(self, suction: FloatArray, water_content: FloatArray) -> FloatArray:
        """Liquid conductivity K [kg/(m s Pa)]."""
        return np.asarray(self.function(suction), dtype=float)


@dataclass(frozen=True)
class AbsorptionDiffusivity(DiffusivityCurve):
    """D_w = 3.8 (A / w_f)^2 1000^(w / w_f - 1), from the water absorption coefficient.

    Parameters
    ----------
    absorption_coefficient : float
        A [kg/(m2 s^0.5)].
    free_saturation : float
        w_f [kg/m3].

    Notes
    -----
    A dry body that sucks from a free water surface then takes up 1.0085 A t^0.5: the factor 3.8 is rounded.
    The law is recalled, unconfirmed; that consistency is what speaks for it.

    References
    ----------
    Kuenzel 1995.
    """

    absorption_coefficient: float
    free_saturation: float

    def diffusivity(self, water_content: FloatArray) -> FloatArray:
        """Liquid diffusivity D_w [m2/s]."""
        wet = 3.8 * (self.absorption_coefficient / self.free_saturation) ** 2
        return wet * 1000.0 ** (water_content / self.free_saturation - 1.0)

    def flux_potential(
        self, log_suction: FloatArray, water_content: FloatArray, storage: StorageCurve
    ) -> FloatArray:
        """Integral of D_w in closed form."""
        dry = self.diffusivity(np.zeros(1))
        return (
            dry
            * self.free_saturation
            / log(1000.0)
            * np.expm1(log(1000.0) * water_content / self.free_saturation)
        )


@dataclass(frozen=True)
class DiffusivityTable(DiffusivityCurve):
    """Monotone cubic of log D_w over water content, constant outside the points; one point is a constant.

    Parameters
    ----------
    water_content : tuple of float
        Strictly rising [kg/m3].
    values : tuple of float
        D_w above 0 [m2/s].
    """

    water_content: tuple[float, ...]
    values: tuple[float, ...]

    def __post_init__(self) -> None:
        w, d = np.array(self.water_content), np.array(self.values)
        if w.shape != d.shape or w.size == 0 or np.any(d <= 0.0) or np.any(w < 0.0):
            raise MaterialError(
                "a diffusivity table needs pairs of water content and D_w above 0", found=self.values
            )
        if np.any(np.diff(w) <= 0.0):
            raise MaterialError("water content must rise from point to point", found=self.water_content)

    @cached_property
    def _curve(self) -> Callable[[FloatArray], FloatArray]:
        return monotone_cubic(self.water_content, np.log(self.values))

    def diffusivity(self, water_content: FloatArray) -> FloatArray:
        """Liquid diffusivity D_w [m2/s]."""
        if len(self.values) == 1:
            return np.full_like(np.asarray(water_content, dtype=float), self.values[0])
        return np.exp(self._curve(water_content))

    def __getstate__(self) -> dict[str, object]:
        return {key: value for key, value in self.__dict__.items() if key != "_curve"}


@dataclass(frozen=True)
class DiffusivityFunction(DiffusivityCurve):
    """A Python function of water content.

    Parameters
    ----------
    function : callable
        Takes water content [kg/m3] as an array and returns D_w [m2/s].
    """

    function: Callable[[FloatArray], FloatArray]

    def diffusivity(self, water_content: FloatArray) -> FloatArray:
        """Liquid diffusivity D_w [m2/s]."""
        return np.asarray(self.function(water_content), dtype=float)
