"""The case file: schema, loading with line numbers, variants, digests.

Names are resolved on first use, so that reading `hygro.case.limits` does not load the schema.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

_DOORS = {
    "Case": "hygro.case.case",
    "LayerChoice": "hygro.case.variants",
    "Variant": "hygro.case.variants",
    "load_case": "hygro.case.load",
    "parse_case": "hygro.case.load",
}

__all__ = ["Case", "LayerChoice", "Variant", "load_case", "parse_case"]

if TYPE_CHECKING:
    from hygro.case.case import Case
    from hygro.case.load import load_case, parse_case
    from hygro.case.variants import LayerChoice, Variant


def __getattr__(name: str) -> Any:
    if name in _DOORS:
        return getattr(import_module(_DOORS[name]), name)
    raise AttributeError(f"module 'hygro.case' has no attribute {name!r}")
