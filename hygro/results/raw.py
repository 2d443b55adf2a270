"""What a finished march hands over to become a result dataset: plain arrays in SI units and labels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from hygro.constants import HOURS_PER_YEAR
from hygro.physics.typing import FloatArray

PlaceKind = Literal["external surface", "interface", "sealed core", "internal surface", "probe"]

_HOUR = np.timedelta64(1, "h")


@dataclass(frozen=True)
class PlaceInfo:
    """A place whose hourly history is kept.

    Parameters
    ----------
    label : str
        Unique label.
    kind : str
        "external surface", "interface", "sealed core" (a face inside a layer that two vapour-tight films
        enclose), "internal surface" or "probe".
    depth : float
        From the external surface [m].
    material_outer, material_inner : str
        Materials on both sides; empty towards outdoors or the room; the same twice inside a layer.
    sensitivity, decline : str
        Mould classes of the more sensitive side, as in `hygro.scores.mould_classes`.
    timber : bool
        Whether timber is embedded there.
    """

    label: str
    kind: PlaceKind
    depth: float
    material_outer: str
    material_inner: str
    sensitivity: str
    decline: str
    timber: bool = False


@dataclass(frozen=True)
class LayerInfo:
    """A layer with thickness, listed from outside to inside.

    Parameters
    ----------
    name : str
        Unique label.
    material : str
        Name of the material.
    thickness : float
        [m].
    conductivity : float
        Dry [W/(m K)].
    density : float
        Dry bulk [kg/m3].
    timber : bool
        Whether the layer is softwood or another timber, scored by mass.
    added : bool
        Whether it belongs to the build-up added to the old wall (False for every layer of the bare wall).
    """

    name: str
    material: str
    thickness: float
    conductivity: float
    density: float
    timber: bool
    added: bool


@dataclass(frozen=True)
class RunInfo:
    """Where a result comes from and how it was reached; becomes the attributes of the dataset.

    Parameters
    ----------
    title : str
        One line.
    case_file, case_sha256 : str
        Name of the case file and the hash of its content.
    case_resolved : mapping
        The case with every default filled in, fit for JSON.
    materials : sequence of mapping
        Name, digest and sources of each material, fit for JSON.
    climate_source, climate_sha256 : str
        Origin of the weather and hash of its file.
    build_up : str
        Name of the build-up, "bare wall" for none.
    thickness_mm : float or None
        Thickness of the layer under study [mm].
    elevation : float or None
        Direction the wall faces [degree from north].
    elevation_name : str
        As in the case file.
    settings : mapping
        Of the solver and the grid, fit for JSON.
    steps, rejected : int
        Accepted and rejected time steps.
    wall_seconds, compile_seconds : float
        Time taken by the march and by compiling [s].
    status : str
        "complete" or "partial: reason".
    steady_year : int
        The year from which the wall repeats itself, 0 where that was not reached or not asked.
    references : tuple of str
        Papers and standards that the run used.
    approach : str
        How the kept years came about.
    years_simulated : float
        Years marched in all, those that are not kept included.
    """

    title: str
    case_file: str = ""
    case_sha256: str = ""
    case_resolved: Mapping[str, Any] | None = None
    materials: Sequence[Mapping[str, Any]] = ()
    climate_source: str = ""
    climate_sha256: str = ""
    build_up: str = "bare wall"
    thickness_mm: float | None = None
    elevation: float | None = None
    elevation_name: str = ""
    settings: Mapping[str, Any] | None = None
    steps: int = 0
    rejected: int = 0
    wall_seconds: float = 0.0
    compile_seconds: float = 0.0
    status: str = "complete"
    steady_year: int = 0
    references: tuple[str, ...] = ()
    approach: str = "marched from the initial moisture"
    years_simulated: float = 0.0


@dataclass(frozen=True)
class RawResult:
    """Arrays of one simulated wall, SI units and kelvin.

    H hours, P places, F profiles, C cells, L layers, Y years.

    Parameters
    ----------
    run : RunInfo
        Provenance.
    start : datetime64
        Begin of the first hour, UTC.
    record_hours : int
        Length of the weather record. 8760 means a year without 29 February: the stamps then skip that day in
        every year they pass, whether the record repeats or not. Any other length runs on through the
        calendar.
    places : sequence of PlaceInfo, length P
        From outside to inside.
    layers : sequence of LayerInfo, length L
        From outside to inside.
    temperature, suction : array, shape (H, P)
        State of the places at the end of each hour [K], [Pa].
    cell_size : array, shape (C,)
        [m], from outside to inside.
    cell_layer : array of int, shape (C,)
        Index of the layer of each cell.
    field_hours : array of int, shape (F,)
        Hours since the start at which profiles were kept; 0 is the initial state.
    field_temperature, field_suction, field_water : array, shape (F, C)
        Profiles [K], [Pa], [kg/m3].
    heat_flux_internal, heat_flux_external : array, shape (H,)
        Hourly means [W/m2], positive from the room into the wall and from the wall to outdoors.
    vapour_flux_internal, vapour_flux_external : array, shape (H,)
        Hourly means [kg/(m2 s)], same signs; rain is not in them.
    rain_on_wall, rain_uptake : array, shape (H,)
        Hourly means [kg/(m2 s)]: before splash; taken up.
    external_air_temperature, internal_air_temperature : array, shape (H,)
        [K].
    external_vapour_pressure, internal_vapour_pressure : array, shape (H,)
        [Pa]. At a fixed boundary: that of the surface.
    year_moisture_change : array, shape (Y,)
        From storage, not from fluxes [kg/m2]; years as in `year_edges`.
    balance_heat, balance_moisture : array, shape (Y,)
        Relative balance errors [1].
    heat_from_sources, water_from_sources : array, shape (H,), or None
        Hourly means of what sources within the wall give [W/m2], [kg/(m2 s)]; None for none.
    """

    run: RunInfo
    start: np.datetime64
    record_hours: int
    places: Sequence[PlaceInfo]
    layers: Sequence[LayerInfo]
    temperature: FloatArray
    suction: FloatArray
    cell_size: FloatArray
    cell_layer: NDArray[np.integer[Any]]
    field_hours: NDArray[np.integer[Any]]
    field_temperature: FloatArray
    field_suction: FloatArray
    field_water: FloatArray
    heat_flux_internal: FloatArray
    heat_flux_external: FloatArray
    vapour_flux_internal: FloatArray
    vapour_flux_external: FloatArray
    rain_on_wall: FloatArray
    rain_uptake: FloatArray
    external_air_temperature: FloatArray
    external_vapour_pressure: FloatArray
    internal_air_temperature: FloatArray
    internal_vapour_pressure: FloatArray
    year_moisture_change: FloatArray
    balance_heat: FloatArray
    balance_moisture: FloatArray
    heat_from_sources: FloatArray | None = None
    water_from_sources: FloatArray | None = None


def hour_ends(start: np.datetime64, hours: int, record_hours: int) -> NDArray[np.datetime64]:
    """Time stamps of the ends of the simulated hours.

    Parameters
    ----------
    start : datetime64
        Begin of the first hour.
    hours : int
        How many hours.
    record_hours : int
        Length of the weather record; in one of whole years of 8760 h the hours of 29 February do not exist.

    Returns
    -------
    array of datetime64[ns], shape (hours,)
    """
    first = start.astype("datetime64[h]")
    if record_hours % HOURS_PER_YEAR != 0:
        begins = first + np.arange(hours) * _HOUR
    else:
        spare = 24 * (hours // HOURS_PER_YEAR // 4 + 2)
        begins = first + np.arange(hours + spare) * _HOUR
        begins = begins[~_on_leap_day(begins)][:hours]
    return (begins + _HOUR).astype("datetime64[ns]")


def _on_leap_day(stamps: NDArray[np.datetime64]) -> NDArray[np.bool_]:
    month = stamps.astype("datetime64[M]")
    day = (stamps.astype("datetime64[D]") - month).astype(int) + 1
    return (month.astype(int) % 12 == 1) & (day == 29)


def year_edges(start: np.datetime64, hours: int, record_hours: int) -> NDArray[np.int64]:
    """Hours since the start at which simulated years begin and end.

    A simulated year runs from the date and hour of the start to the same date and hour a calendar year later:
    8760 hours, or 8784 where a record that keeps 29 February passes one. The last year may be shorter.

    Parameters
    ----------
    start, hours, record_hours
        As in `hour_ends`.

    Returns
    -------
    array of int, shape (years + 1,)
        Begins with 0 and ends with `hours`.
    """
    if record_hours % HOURS_PER_YEAR == 0:
        edges = np.arange(0, hours, HOURS_PER_YEAR)
    else:
        first = start.astype("datetime64[h]")
        month = first.astype("datetime64[M]")
        count = hours // HOURS_PER_YEAR + 2
        begins = (month + 12 * np.arange(count)).astype("datetime64[h]") + (
            first - month.astype("datetime64[h]")
        )
        edges = (begins - first).astype(np.int64)
    return np.append(edges[edges < hours], hours).astype(np.int64)
