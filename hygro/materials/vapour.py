"""Water vapour resistance factor mu in dependence on humidity or water content."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from hygro.errors import MaterialError
from hygro.physics.typing import FloatArray

DRY_CUP_HUMIDITY = 0.25
"""Mean relative humidity of the dry cup test (0 and 50 %); ISO 12572 condition C."""

WET_CUP_HUMIDITY = 0.75
"""Mean relative humidity ascribed to the wet cup test (50 % and 93 to 100 %)."""

LEAST_AIR_SHARE = 1e-6
"""Share of pores without water below which the vapour path counts as shut; keeps mu finite at saturation."""


class VapourCurve(Protocol):
    """Anything that gives a resistance factor."""

    def resistance_factor(self, relative_humidity: FloatArray, water_content: FloatArray) -> FloatArray:
        """Water vapour resistance factor [1] at a relative humidity [1] and its water content [kg/m3]."""
        ...


def check_resistance(values: tuple[float, ...]) -> None:
    """Refuse resistance factors of 0 and less.

    Raises
    ------
    MaterialError
        If one is.
    """
    if min(values) <= 0.0:
        raise MaterialError("the vapour resistance factor must be above 0", found=min(values))


@dataclass(frozen=True)
class ResistanceTable:
    """mu linear over relative humidity between points, constant outside; one point is a constant.

    Parameters
    ----------
    humidity : tuple of float
        Strictly rising, 0 to 1.
    values : tuple of float
        mu [1].
    """

    humidity: tuple[float, ...]
    values: tuple[float, ...]

    def __post_init__(self) -> None:
        phi = np.array(self.humidity)
        if len(self.humidity) != len(self.values) or not self.values:
            raise MaterialError("a vapour table needs as many resistance factors as humidities")
        if np.any(np.diff(phi) <= 0.0) or phi[0] < 0.0 or phi[-1] > 1.0:
            raise MaterialError("humidities of a vapour table must rise within 0 to 1", found=self.humidity)
        check_resistance(self.values)

    def resistance_factor(self, relative_humidity: FloatArray, water_content: FloatArray) -> FloatArray:
        """Water vapour resistance factor [1]."""
        return np.interp(relative_humidity, self.humidity, self.values)


@dataclass(frozen=True)
class CupResistance:
    """Dry and wet cup: 1/mu, the permeability, runs linear from 25 to 75 % humidity, constant outside.

    Parameters
    ----------
    dry, wet : float
        mu of the dry and of the wet cup test [1]; ISO 12572.
    """

    dry: float
    wet: float

    def __post_init__(self) -> None:
        check_resistance((self.dry, self.wet))

    def resistance_factor(self, relative_humidity: FloatArray, water_content: FloatArray) -> FloatArray:
        """Water vapour resistance factor [1]."""
        ends = (DRY_CUP_HUMIDITY, WET_CUP_HUMIDITY)
        return 1.0 / np.interp(relative_humidity, ends, (1.0 / self.dry, 1.0 / self.wet))


@dataclass(frozen=True)
class PoreAirResistance:
    """1/mu(w) = u / (mu ((1 - p) u^2 + p)), u = 1 - w / w_sat: water takes the pores from the vapour.

    Parameters
    ----------
    dry : float
        mu without water [1].
    share : float
        p [1], between 0 and 1.
    saturation : float
        w_sat [kg/m3].

    References
    ----------
    EN 15026:2007 Annex A; Hagentoft 2002.
    """

    dry: float
    share: float
    saturation: float

    def __post_init__(self) -> None:
        check_resistance((self.dry,))
        if not 0.0 < self.share <= 1.0:
            raise MaterialError("p of the pore-air form must lie between 0 and 1", found=self.share)

    def resistance_factor(self, relative_humidity: FloatArray, water_content: FloatArray) -> FloatArray:
        """Water vapour resistance factor [1]."""
        u = np.clip(1.0 - water_content / self.saturation, LEAST_AIR_SHARE, 1.0)
        return self.dry * ((1.0 - self.share) * u**2 + self.share) / u


@dataclass(frozen=True)
class ResistanceFunction:
    """A Python function of relative humidity.

    Parameters
    ----------
    function : callable
        Takes relative humidity [1] as an array and returns mu [1].
    """

    function: Callable[[FloatArray], FloatArray]

    def resistance_factor(self, relative_humidity: FloatArray, water_content: FloatArray) -> FloatArray:
        """Water vapour resistance factor [1]."""
        return np.asarray(self.function(relative_humidity), dtype=float)
