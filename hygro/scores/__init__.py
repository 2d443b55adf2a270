"""Scores of a result dataset against limits: mould, interface moisture, timber, heat.

They read a dataset only, so logged temperatures and humidities in the same shape are scored alike.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

# Resolved on first use, so that importing the package does not import xarray or numba.
_DOORS = {
    "score": "hygro.scores.scoring",
    "Score": "hygro.scores.states",
    "DEFINITIONS": "hygro.scores.definitions",
}

__all__ = ["DEFINITIONS", "Score", "score"]

if TYPE_CHECKING:
    from hygro.scores.definitions import DEFINITIONS
    from hygro.scores.scoring import score
    from hygro.scores.states import Score


def __getattr__(name: str) -> Any:
    if name in _DOORS:
        return getattr(import_module(_DOORS[name]), name)
    raise AttributeError(f"module 'hygro.scores' has no attribute {name!r}")
