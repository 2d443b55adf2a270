"""hygro: how much internal insulation an old solid wall can safely take, and why."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

# Names are resolved on first use so that `import hygro` and `hygro --help` stay quick.
_DOORS = {
    "load_case": "hygro.case",
    "simulate": "hygro.results.simulate",
    "score": "hygro.scores",
    "assess": "hygro.decide",
    "load_material": "hygro.materials",
    "Material": "hygro.materials",
}

__all__ = ["Material", "assess", "load_case", "load_material", "score", "simulate"]

if TYPE_CHECKING:
    from hygro.case import load_case
    from hygro.decide import assess
    from hygro.materials import Material, load_material
    from hygro.results.simulate import simulate
    from hygro.scores import score


def __getattr__(name: str) -> Any:
    if name in _DOORS:
        return getattr(import_module(_DOORS[name]), name)
    raise AttributeError(f"module 'hygro' has no attribute {name!r}")
