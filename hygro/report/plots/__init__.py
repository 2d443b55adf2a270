"""Pictures of results, usable from Python and in the report.

Each returns a matplotlib figure: `figure.savefig("map.png", dpi=200)`.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

# Resolved on first use, so that importing the package does not import matplotlib.
_DOORS = {
    "CurvePoint": "hygro.report.plots.thickness",
    "depth_time_map": "hygro.report.plots.depth_time",
    "interface_history": "hygro.report.plots.history",
    "thickness_curve": "hygro.report.plots.thickness",
}

__all__ = ["CurvePoint", "depth_time_map", "interface_history", "thickness_curve"]

if TYPE_CHECKING:
    from hygro.report.plots.depth_time import depth_time_map
    from hygro.report.plots.history import interface_history
    from hygro.report.plots.thickness import CurvePoint, thickness_curve


def __getattr__(name: str) -> Any:
    if name in _DOORS:
        return getattr(import_module(_DOORS[name]), name)
    raise AttributeError(f"module 'hygro.report.plots' has no attribute {name!r}")
