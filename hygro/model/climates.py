"""Weather, wall climate and room climate of a case, each worked out once."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hygro.case.case import Case
from hygro.case.room import BalanceSection, RoomSection
from hygro.case.site import SiteSection
from hygro.climate import (
    RoomClimate,
    RoomSpec,
    SiteFactors,
    WallClimate,
    load_weather,
    room_climate,
    wall_climate,
)
from hygro.climate.room import BALANCE
from hygro.climate.room_balance import RoomBalance
from hygro.climate.room_model import BalancedRoom, WallUptake, balanced_room
from hygro.climate.room_sources import design_moisture, household_moisture
from hygro.physics.rain import obstruction_factor

if TYPE_CHECKING:
    import xarray as xr

Stamp = tuple[str, int, int]
"""A file's path, time of change and size: a changed file is read again."""


def weather_of(case: Case) -> xr.Dataset:
    """Return the weather of a case.

    Parameters
    ----------
    case : Case
        With a [site].

    Returns
    -------
    xarray.Dataset
        Canonical hourly weather; not to be changed, since it is shared.

    Raises
    ------
    ClimateError
        The file is not usable.
    """
    return _weather(*_weather_key(case))


def wall_climate_of(case: Case, elevation: float) -> WallClimate:
    """Return the climate of an elevation.

    Parameters
    ----------
    case : Case
        With a [site].
    elevation : float
        Direction that the wall faces [degrees from north].

    Returns
    -------
    WallClimate
        Hourly arrays; shared.

    Raises
    ------
    ClimateError
        The weather is not usable.
    """
    site, wall = _site(case), case.spec.wall
    surface = (wall.solar_absorptance, wall.emissivity, site.ground_reflectance, site.sky_view)
    return _wall(_weather_key(case), elevation, site_factors(site), surface)


def room_climate_of(case: Case) -> RoomClimate:
    """Return the climate of the room.

    Parameters
    ----------
    case : Case
        With a [room] that follows the weather.

    Returns
    -------
    RoomClimate
        Hourly arrays; shared.

    Raises
    ------
    ClimateError
        The weather or the room's series is not usable.
    """
    assert case.spec.room is not None
    spec = _room_spec(case.spec.room, case)
    stamp = _stamp(case.file(case.spec.room.file)) if case.spec.room.file else None
    return _room(_weather_key(case), spec, stamp)


def balanced_room_of(case: Case, wall: WallUptake | None = None) -> BalancedRoom | None:
    """Return the room of a case whose climate is worked out from its moisture.

    Parameters
    ----------
    case : Case
        Any.
    wall : WallUptake, optional
        What a wall takes from the room, in the hours of the weather.

    Returns
    -------
    BalancedRoom or None
        None where the climate of the room is stated.

    Raises
    ------
    ClimateError
        The weather is not usable, or the room does not settle.
    """
    room = case.spec.room
    if room is None or room.climate != BALANCE or room.balance is None:
        return None
    return balanced_room(_balance_spec(room.balance), weather_of(case), wall)


def site_factors(site: SiteSection) -> SiteFactors:
    """Translate [site] into the factors of driving rain and wind."""
    obstruction = site.obstruction
    if obstruction is None:
        distance = site.obstruction_distance_m
        obstruction = 1.0 if distance is None else obstruction_factor(distance)
    return SiteFactors(
        terrain=site.terrain,
        topography=site.topography,
        obstruction=obstruction,
        wall_factor=site.wall_factor,
        height=site.height_m,
        uptake_share=site.uptake_share,
    )


def _room_spec(room: RoomSection, case: Case) -> RoomSpec:
    """Translate [room] into what the climate package asks for."""
    humidity = room.relative_humidity_percent
    return RoomSpec(
        kind=room.climate,
        temperature=room.temperature_C,
        relative_humidity=None if humidity is None else humidity / 100.0,
        path=case.file(room.file) if room.file else None,
        balance=None if room.balance is None else _balance_spec(room.balance),
        fill_hours=room.fill_hours,
        utc_offset_hours=room.utc_offset_h,
        time_zone=room.time_zone,
    )


def _balance_spec(section: BalanceSection) -> RoomBalance:
    """Translate [room.balance] into what the climate package asks for."""
    if section.moisture_kg_per_day is not None:
        moisture = section.moisture_kg_per_day
    elif section.bedrooms is not None:
        moisture = design_moisture(section.bedrooms)
    else:
        assert section.persons is not None
        moisture = household_moisture(section.persons, section.habits, section.drying_loads_per_week)
    return RoomBalance(
        volume=section.volume,
        air_changes=section.air_changes_per_hour,
        moisture=moisture,
        moisture_shares=section.moisture_shares,
        air_changes_rise=section.air_changes_rise_per_hour_K,
        rise_above=section.air_changes_rise_above_C,
        infiltration=section.infiltration_per_hour or 0.0,
        leakage_n50=section.leakage_n50_per_hour,
        storeys=section.storeys,
        shelter=section.shelter_class,
        extract=section.extract_m3_per_hour,
        heat_recovery=section.heat_recovery_efficiency,
        moisture_recovery=section.moisture_recovery_efficiency,
        setpoint=section.heating_setpoint_C,
        free_rise=section.free_rise_K,
        time_constant=section.time_constant_h,
        buffer_area=section.buffer_area,
        buffer_value=section.buffer_value_g_m2percent,
    )


def _site(case: Case) -> SiteSection:
    assert case.spec.site is not None
    return case.spec.site


def _stamp(path: Path) -> Stamp:
    state = path.stat()
    return str(path), state.st_mtime_ns, state.st_size


def _weather_key(case: Case) -> tuple[Any, ...]:
    site = _site(case)
    rain = site.rain if site.rain in (None, "none") else _stamp(case.file(str(site.rain)))
    columns = tuple(sorted(site.columns.items())) if site.columns else None
    placed = None
    if site.latitude_deg is not None:
        placed = (site.latitude_deg, site.longitude_deg, site.altitude_m)
    return _stamp(case.file(site.weather)), rain, columns, placed, site.utc_offset_h


@lru_cache(maxsize=8)
def _weather(stamp: Stamp, rain: Any, columns: Any, placed: Any, utc_offset: float | None) -> xr.Dataset:
    return load_weather(
        Path(stamp[0]),
        rain=Path(rain[0]) if isinstance(rain, tuple) else rain,
        columns=dict(columns) if columns else None,
        location=placed,
        utc_offset_hours=utc_offset,
    )


@lru_cache(maxsize=32)
def _wall(
    key: tuple[Any, ...], elevation: float, site: SiteFactors, surface: tuple[float, float, float, float]
) -> WallClimate:
    absorptance, emissivity, reflectance, sky = surface
    return wall_climate(
        _weather(*key),
        elevation=elevation,
        site=site,
        solar_absorptance=absorptance,
        emissivity=emissivity,
        ground_reflectance=reflectance,
        sky_view=sky,
    )


@lru_cache(maxsize=8)
def _room(key: tuple[Any, ...], spec: RoomSpec, stamp: Stamp | None) -> RoomClimate:
    return room_climate(spec, _weather(*key))
