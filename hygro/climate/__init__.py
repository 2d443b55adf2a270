"""Weather, rain and sun on walls, and room climate. This is code; `climate/` at the top holds data.

Names are loaded when they are first used, so that importing the package stays light.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from hygro.climate.finding import Finding
    from hygro.climate.options import ReadOptions
    from hygro.climate.room import RoomClimate, RoomSpec, room_climate
    from hygro.climate.site import SiteFactors, elevation_name, parse_elevation
    from hygro.climate.statistics import weather_statistics
    from hygro.climate.wall import WallClimate, wall_climate
    from hygro.climate.weather import Inspection, inspect_weather, load_weather

_HOMES = {
    "RoomClimate": "room",
    "RoomSpec": "room",
    "room_climate": "room",
    "SiteFactors": "site",
    "elevation_name": "site",
    "parse_elevation": "site",
    "weather_statistics": "statistics",
    "WallClimate": "wall",
    "wall_climate": "wall",
    "Inspection": "weather",
    "inspect_weather": "weather",
    "load_weather": "weather",
    "Finding": "finding",
    "ReadOptions": "options",
}

__all__ = [
    "Finding",
    "Inspection",
    "ReadOptions",
    "RoomClimate",
    "RoomSpec",
    "SiteFactors",
    "WallClimate",
    "elevation_name",
    "inspect_weather",
    "load_weather",
    "parse_elevation",
    "room_climate",
    "wall_climate",
    "weather_statistics",
]


def __getattr__(name: str) -> Any:
    """Load a public name from the module it lives in."""
    if name in _HOMES:
        return getattr(import_module(f"hygro.climate.{_HOMES[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
