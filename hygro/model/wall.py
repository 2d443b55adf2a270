"""The physical model of one wall: what the solver needs and nothing else. SI units, kelvin, plain arrays."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from hygro.materials.tables import CurveTable
from hygro.physics.moist_air import PERMEABILITY_STANDARD
from hygro.physics.typing import FloatArray


@dataclass(frozen=True)
class Layer:
    """One layer with thickness, from outside to inside.

    Parameters
    ----------
    name : str
        What the layer is called in results.
    table : CurveTable
        The material's curves, tabulated.
    thickness : float
        [m], above 0.
    initial_temperature : float
        [K].
    initial_suction : float
        [Pa].
    contact_resistance : float
        Of the contact with the layer outside of it to liquid: difference of suction over flux [m/s].
    """

    name: str
    table: CurveTable
    thickness: float
    initial_temperature: float
    initial_suction: float
    contact_resistance: float = 0.0


@dataclass(frozen=True)
class Film:
    """A thin layer without thickness (paint, membrane, foil) at a surface or between two layers.

    Parameters
    ----------
    name : str
        What it is called in results.
    position : int
        0 is the external surface, k lies between layers k-1 and k, the number of layers is the internal
        surface.
    s_d : array, shape (101,)
        Diffusion-equivalent air layer thickness [m] at relative humidity 0, 0.01, ... 1.
    liquid_open : bool
        Whether liquid water passes (a limewash) or not (a membrane).
    """

    name: str
    position: int
    s_d: FloatArray
    liquid_open: bool


@dataclass(frozen=True)
class Source:
    """What part of a layer gets from elsewhere: heat, liquid, and air that passes and takes vapour along.

    Air that comes with temperature T_a and vapour pressure p_a gives `heat_air` (T_a - T) and `vapour_air`
    (p_a - p), T and p being those of the layer. What is given is constant within each hour.

    Parameters
    ----------
    name : str
        What messages call it.
    layer : int
        Index of the layer.
    start, end : float
        Range within the layer, from its outer face [m]; where both are the same, one cell gets all.
    heat : array, shape (hours,)
        Given per wall area, with `heat_air` T_a and the sensible heat of `vapour` in it, without the
        evaporation enthalpy of that [W/m2].
    heat_air : array, shape (hours,)
        Heat capacity of the air that passes, per wall area [W/(m2 K)].
    vapour : array, shape (hours,)
        Given, `vapour_air` p_a [kg/(m2 s)].
    vapour_air : array, shape (hours,)
        [kg/(m2 s Pa)].
    liquid : array, shape (hours,)
        Given at the temperature of the layer, as far as its pores have room [kg/(m2 s)].
    """

    name: str
    layer: int
    start: float
    end: float
    heat: FloatArray
    heat_air: FloatArray
    vapour: FloatArray
    vapour_air: FloatArray
    liquid: FloatArray


@dataclass(frozen=True)
class Boundary:
    """Climate of one side, constant within each hour.

    Parameters
    ----------
    kind : {"transfer", "fixed"}
        "transfer": surface coefficients act between the climate and the surface. "fixed": `temperature` and
        `suction` are the states of the surface itself.
    temperature : array, shape (hours,)
        Equivalent temperature, with solar and long-wave gains folded in, or the fixed surface temperature
        [K].
    air_temperature : array, shape (hours,)
        Air temperature, at which rain and vapour arrive [K].
    vapour_pressure : array, shape (hours,)
        Vapour pressure of the air [Pa]; unused where fixed.
    heat_coefficient : array, shape (hours,)
        Convection and linearised radiation together [W/(m2 K)]; unused where fixed.
    vapour_coefficient : array, shape (hours,)
        Vapour transfer coefficient [kg/(m2 s Pa)]; unused where fixed.
    rain : array, shape (hours,)
        Rain that reaches the surface and may be taken up, splash already deducted [kg/(m2 s)].
    suction : array, shape (hours,)
        Fixed surface suction [Pa]; unused where transfer.
    """

    kind: Literal["transfer", "fixed"]
    temperature: FloatArray
    air_temperature: FloatArray
    vapour_pressure: FloatArray
    heat_coefficient: FloatArray
    vapour_coefficient: FloatArray
    rain: FloatArray
    suction: FloatArray


@dataclass(frozen=True)
class PhysicsOptions:
    """Conventions that published cases set differently from the default.

    Parameters
    ----------
    viscosity : bool
        Whether liquid conductivity follows the viscosity of water from 20 degC to the local temperature.
    permeability : (float, float)
        Scale and exponent of `hygro.physics.moist_air.air_permeability`.
    ice : bool
        Whether water freezes, at a temperature that falls with suction.
    """

    viscosity: bool = True
    permeability: tuple[float, float] = PERMEABILITY_STANDARD
    ice: bool = False


@dataclass(frozen=True)
class Probe:
    """A depth at which the hourly history is kept.

    Parameters
    ----------
    name : str
        Label in results.
    depth : float
        From the external surface [m].
    timber : bool
        Whether timber is embedded there (a joist end, a wall plate), to be scored.
    """

    name: str
    depth: float
    timber: bool = False


@dataclass(frozen=True)
class WallModel:
    """One wall with its climate on both sides.

    Parameters
    ----------
    layers : tuple of Layer
        From outside to inside, at least one.
    films : tuple of Film
        Any order; several at one position act in series.
    external, internal : Boundary
        Climate of the two sides, of equal length.
    start : datetime64
        Begin of the first hour, UTC.
    probes : tuple of Probe
        Extra histories.
    physics : PhysicsOptions
        Conventions.
    sources : tuple of Source
        Any number; several may act on one layer.
    """

    layers: tuple[Layer, ...]
    films: tuple[Film, ...]
    external: Boundary
    internal: Boundary
    start: np.datetime64
    probes: tuple[Probe, ...] = ()
    physics: PhysicsOptions = field(default_factory=PhysicsOptions)
    sources: tuple[Source, ...] = ()
