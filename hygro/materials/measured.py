"""Moisture storage through measured points, from dry to free saturation."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from hygro.errors import MaterialError
from hygro.materials.interpolation import monotone_cubic
from hygro.materials.storage import HyperbolicStorage, humidity_at_reference, suction_at_reference
from hygro.physics.typing import FloatArray

WETTEST_LOG_SUCTION = 0.0
"""log10 of the suction [Pa] at and below which a measured curve has reached free saturation."""

CONTINUATION_STEP = 0.2
"""Decades of suction between the points that continue a measured curve to free saturation."""

DRYING_FRACTIONS = (0.5, 0.2, 0.05, 0.01, 1e-3, 1e-5)
"""Shares of the lowest measured humidity at which points are added on the straight line to dry."""


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
