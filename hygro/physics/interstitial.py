"""Steady diffusion and condensation between layers: the vapour pressure line of ISO 13788.

Arrays run from outside to inside. A wall of n layers has n + 1 planes: its external surface, n - 1
interfaces, its internal surface. At the surfaces vapour meets no resistance and heat those of ISO 6946,
unless the layers of air there are given as layers of their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hygro.constants import EXTERNAL_RESISTANCE, INTERNAL_RESISTANCE
from hygro.physics.moist_air import saturation_pressure
from hygro.physics.typing import FloatArray

VAPOUR_PERMEABILITY: Final = 2.0e-10
"""delta_0, vapour permeability of air at any temperature [kg/(m s Pa)]; ISO 13788:2012, second-hand."""

GREATEST_STRIP: Final = 0.25
"""Thermal resistance above which a layer is cut into strips [m2 K/W]; ISO 13788:2012, from memory,
unconfirmed."""

CLOSENESS: Final = 1e-6
"""How far saturation must cut into the line to count as condensation [Pa]; far below what it is known to."""


@dataclass(frozen=True)
class Layers:
    """Layers of a wall as the steady method sees them, from outside to inside.

    Parameters
    ----------
    resistance : array, shape (layers,)
        Thermal resistance, 0 for a film [m2 K/W].
    s_d : array, shape (layers,)
        Diffusion-equivalent air layer thickness, above 0 [m].
    external_resistance, internal_resistance : float
        Of the surfaces; 0 where the surface is one of the layers [m2 K/W]. ISO 6946.

    Raises
    ------
    ValueError
        Shapes differ, there is no layer, a resistance is negative or an s_d not above 0.
    """

    resistance: FloatArray
    s_d: FloatArray
    external_resistance: float = EXTERNAL_RESISTANCE
    internal_resistance: float = INTERNAL_RESISTANCE

    def __post_init__(self) -> None:
        if self.resistance.shape != self.s_d.shape or self.s_d.size == 0:
            raise ValueError("each layer needs one thermal resistance and one s_d")
        if not (np.all(self.resistance >= 0.0) and np.all(self.s_d > 0.0)):
            raise ValueError("thermal resistances must not be negative, and every s_d must be above 0")
        if not np.all(np.isfinite(self.resistance) & np.isfinite(self.s_d)):
            raise ValueError("thermal resistances and s_d must be finite")

    @property
    def total_resistance(self) -> float:
        """Thermal resistance from room to outdoors [m2 K/W]; ISO 6946."""
        return self.external_resistance + float(np.sum(self.resistance)) + self.internal_resistance


def strips(resistance: FloatArray, greatest: float = GREATEST_STRIP) -> NDArray[np.int64]:
    """Into how many equal strips to cut each layer, so that water may also condense inside insulation.

    Saturation pressure curves upward within a layer, so the line can cut it between two interfaces.

    Parameters
    ----------
    resistance : array, shape (layers,)
        [m2 K/W].
    greatest : float
        Greatest thermal resistance of a strip [m2 K/W].

    Returns
    -------
    array of int, shape (layers,)
        1 and more.
    """
    # The small deduction keeps a layer of exactly `greatest` whole.
    return np.maximum(np.ceil(resistance / greatest - 1e-9), 1.0).astype(np.int64)


def plane_temperatures(layers: Layers, external: float, internal: float) -> FloatArray:
    """Temperatures at surfaces and interfaces, linear over thermal resistance.

    Parameters
    ----------
    layers : Layers
        The wall.
    external, internal : float
        Air temperatures [K].

    Returns
    -------
    array, shape (layers + 1,)
        [K].

    References
    ----------
    ISO 13788:2012; ISO 6946.
    """
    passed = layers.external_resistance + np.concatenate(([0.0], np.cumsum(layers.resistance)))
    return external + (internal - external) * passed / layers.total_resistance


@dataclass(frozen=True)
class VapourLine:
    """Vapour pressure across a wall and what condenses or evaporates at its planes.

    Parameters
    ----------
    pressure : array, shape (planes,)
        [Pa].
    rate : array, shape (planes,)
        g_c, negative where water evaporates, 0 at the surfaces [kg/(m2 s)].
    """

    pressure: FloatArray
    rate: FloatArray


def vapour_line(
    s_d: FloatArray,
    saturation: FloatArray,
    external: float,
    internal: float,
    wet: NDArray[np.bool_] | None = None,
) -> VapourLine:
    """Draw the line of vapour pressure over s_d that nowhere exceeds saturation.

    Between two planes of known pressure (the surfaces, and planes that hold water and so are saturated), the
    line is a string pulled tight below the saturation pressures: the lower convex hull of the points. It
    touches saturation where water condenses, at any number of planes, and bends there by what stays behind,

        g_c = delta_0 ((p_in - p) / s_d,in - (p - p_out) / s_d,out).

    Parameters
    ----------
    s_d : array, shape (layers,)
        Diffusion-equivalent air layer thickness [m].
    saturation : array, shape (layers + 1,)
        Saturation pressure at surfaces and interfaces [Pa].
    external, internal : float
        Vapour pressure of the air [Pa]; at the surface it is cut down to saturation there.
    wet : array of bool, shape (layers + 1,), optional
        Interfaces that hold water; those at the surfaces are not heeded.

    Returns
    -------
    VapourLine
        Pressures and rates at the planes.

    References
    ----------
    ISO 13788:2012, construction; as a convex hull: own reading, equal to drawing tangents.
    """
    x = np.concatenate(([0.0], np.cumsum(s_d)))
    known = saturation.astype(np.float64)
    known[0], known[-1] = min(external, known[0]), min(internal, known[-1])
    last = len(x) - 1
    held = [0, *(k for k in range(1, last) if wet is not None and wet[k]), last]
    touched = [0]
    for first, end in zip(held, held[1:], strict=False):
        touched += _hull(x, known, first, end)
    pressure = np.interp(x, x[touched], known[touched])
    rate = np.zeros_like(pressure)
    slope = np.diff(known[touched]) / np.diff(x[touched])
    rate[touched[1:-1]] = VAPOUR_PERMEABILITY * np.diff(slope)
    return VapourLine(pressure, rate)


def _hull(x: FloatArray, y: FloatArray, first: int, end: int) -> list[int]:
    """Lower convex hull of the points from `first` to `end`, without `first`."""
    chain = [first]
    for k in range(first + 1, end + 1):
        while len(chain) > 1 and _above(x, y, chain[-2], chain[-1], k):
            chain.pop()
        chain.append(k)
    return chain[1:]


def _above(x: FloatArray, y: FloatArray, left: int, middle: int, right: int) -> bool:
    """Tell whether the middle point lies on or above the chord of the other two."""
    share = (x[middle] - x[left]) / (x[right] - x[left])
    return bool(y[middle] > y[left] + share * (y[right] - y[left]) - CLOSENESS)


@dataclass(frozen=True)
class BlockClimate:
    """Two blocks of constant climate: a winter in which water condenses, a summer in which it evaporates.

    Parameters
    ----------
    external_temperature, internal_temperature : float
        Of the air in winter [K].
    external_pressure, internal_pressure : float
        Vapour pressures of the air in winter [Pa].
    winter : float
        Length [s].
    summer_pressure : float
        Vapour pressure on both sides in summer [Pa].
    summer_saturation : float
        Saturation pressure at the planes that hold water in summer [Pa].
    summer : float
        Length [s].
    """

    external_temperature: float
    internal_temperature: float
    external_pressure: float
    internal_pressure: float
    winter: float
    summer_pressure: float
    summer_saturation: float
    summer: float


WALL_BLOCKS: Final = BlockClimate(
    external_temperature=268.15,
    internal_temperature=293.15,
    external_pressure=321.0,
    internal_pressure=1168.0,
    winter=7776.0e3,
    summer_pressure=1200.0,
    summer_saturation=1700.0,
    summer=7776.0e3,
)
"""Block climate for walls: -5 degC/80 % and 20 degC/50 % for 90 days, then 1200 Pa; DIN 4108-3, second-hand
(Willems ed. 2022). A roof takes 2000 Pa as its saturation in summer."""


@dataclass(frozen=True)
class SinglePeriod:
    """One winter and one summer.

    Parameters
    ----------
    temperature : array, shape (planes,)
        In winter [K].
    condensation, evaporation : array, shape (planes,)
        Rates in winter and summer, both positive; evaporation at the planes that took up water [kg/(m2 s)].
    condensed, can_evaporate : array, shape (planes,)
        M_c, and M_ev that summer could take away [kg/m2].
    """

    temperature: FloatArray
    condensation: FloatArray
    evaporation: FloatArray
    condensed: FloatArray
    can_evaporate: FloatArray

    @property
    def dries(self) -> bool:
        """Whether the summer could take away all that the winter brought, over all planes together."""
        return float(np.sum(self.can_evaporate)) >= float(np.sum(self.condensed))


def single_period(layers: Layers, climate: BlockClimate = WALL_BLOCKS) -> SinglePeriod:
    """Condensation of a block winter and evaporation of a block summer.

    Parameters
    ----------
    layers : Layers
        The wall.
    climate : BlockClimate
        The two blocks.

    Returns
    -------
    SinglePeriod
        Rates and masses at the planes.

    References
    ----------
    DIN 4108-3, second-hand (Willems ed. 2022); the line of ISO 13788:2012.
    """
    temperature = plane_temperatures(layers, climate.external_temperature, climate.internal_temperature)
    winter = vapour_line(
        layers.s_d, saturation_pressure(temperature), climate.external_pressure, climate.internal_pressure
    )
    wet = winter.rate > 0.0
    saturation = np.full_like(temperature, climate.summer_saturation)
    summer = vapour_line(layers.s_d, saturation, climate.summer_pressure, climate.summer_pressure, wet)
    evaporation = np.maximum(-summer.rate, 0.0)
    return SinglePeriod(
        temperature=temperature,
        condensation=winter.rate,
        evaporation=evaporation,
        condensed=winter.rate * climate.winter,
        can_evaporate=evaporation * climate.summer,
    )
