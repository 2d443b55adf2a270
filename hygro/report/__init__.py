"""The report of an assessment, and the pictures in it."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

# Resolved on first use, so that importing the package imports neither matplotlib nor xarray.
_DOORS = {"write_report": "hygro.report.write"}

__all__ = ["write_report"]

if TYPE_CHECKING:
    from hygro.report.write import write_report


def __getattr__(name: str) -> Any:
    if name in _DOORS:
        return getattr(import_module(_DOORS[name]), name)
    raise AttributeError(f"module 'hygro.report' has no attribute {name!r}")
