"""Weather, wall climate and room climate of a case, each worked out once."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hygro.case.case import Case
from hygro.case.room import RoomSection
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
