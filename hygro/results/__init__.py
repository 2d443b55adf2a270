"""Result datasets: from raw arrays to CF-conforming xarray datasets, and to files and back."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

# Resolved on first use, so that importing the package does not import xarray.
_DOORS = {
    "build_dataset": "hygro.results.dataset",
    "RawResult": "hygro.results.raw",
    "RunInfo": "hygro.results.raw",
    "PlaceInfo": "hygro.results.raw",
    "LayerInfo": "hygro.results.raw",
    "save": "hygro.results.files",
    "load": "hygro.results.files",
}

__all__ = ["LayerInfo", "PlaceInfo", "RawResult", "RunInfo", "build_dataset", "load", "save"]

if TYPE_CHECKING:
    from hygro.results.dataset import build_dataset
    from hygro.results.files import load, save
    from hygro.results.raw import LayerInfo, PlaceInfo, RawResult, RunInfo


def __getattr__(name: str) -> Any:
    if name in _DOORS:
        return getattr(import_module(_DOORS[name]), name)
    raise AttributeError(f"module 'hygro.results' has no attribute {name!r}")
