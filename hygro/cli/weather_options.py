"""What the commands on weather share: the file and how to read it, the site, the elevation."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    import xarray as xr

    from hygro.climate import SiteFactors

_F = TypeVar("_F", bound=Callable[..., Any])

out_option = click.option(
    "--out",
    "out",
    required=True,
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="File to write; one that is there is replaced.",
)


def weather_file(command: _F) -> _F:
    """Add FILE, --rain, --place to a command; it gets them as `file`, `rain`, `place`."""
    command = click.option(
        "--place",
        type=(float, float, float),
        metavar="LATITUDE LONGITUDE ALTITUDE",
        help="Where the file does not say: degrees north, degrees east, metres.",
    )(command)
    command = click.option(
        "--rain", metavar="FILE", help="Hourly rain (.csv), where the weather file has none."
    )(command)
    return click.argument("file", metavar="FILE", type=click.Path(path_type=Path))(command)


def site_options(command: _F) -> _F:
    """Add the site to a command; it gets `terrain`, `topography`, `obstruction_distance`, ..."""
    for option in (
        click.option(
            "--height-m",
            type=float,
            default=10.0,
            show_default=True,
            help="Height at which wind and rain act.",
        ),
        click.option(
            "--wall-factor", type=float, default=0.4, show_default=True, help="Wall factor of ISO 15927-3."
        ),
        click.option(
            "--obstruction-distance-m",
            type=float,
            help="Distance to the nearest obstacle as high as the wall; without it there is none.",
        ),
        click.option(
            "--topography", type=float, default=1.0, show_default=True, help="Topography coefficient."
        ),
        click.option(
            "--terrain",
            default="III",
            show_default=True,
            help="Terrain of ISO 15927-3: I open sea, II farmland, III suburb, IV town.",
        ),
    ):
        command = option(command)
    return command


def read_weather(file: Path, rain: str | None, place: tuple[float, float, float] | None) -> xr.Dataset:
    """Read the weather that the options name."""
    from hygro.climate import load_weather

    return load_weather(file, rain=rain, location=place)


def site_of(
    terrain: str,
    topography: float,
    obstruction_distance_m: float | None,
    wall_factor: float,
    height_m: float,
) -> SiteFactors:
    """Translate the options into the factors of a site."""
    from hygro.climate import SiteFactors
    from hygro.errors import ClimateError
    from hygro.physics.rain import obstruction_factor

    distance = obstruction_distance_m
    if distance is not None and not distance > 0.0:
        raise ClimateError(
            "the distance to the obstacle is impossible", found=distance, expected="more than 0 m"
        )
    return SiteFactors(
        terrain=terrain,
        topography=topography,
        obstruction=1.0 if distance is None else obstruction_factor(distance),
        wall_factor=wall_factor,
        height=height_m,
    )
