"""From variants to verdicts and answers: which thickness of which build-up stays within the limits."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

# Resolved on first use, so that importing the package does not import xarray or numba.
_DOORS = {
    "assess": "hygro.decide.assessment",
    "Assessment": "hygro.decide.assessment",
    "Answer": "hygro.decide.answers",
    "Verdict": "hygro.decide.verdict",
}

__all__ = ["Answer", "Assessment", "Verdict", "assess"]

if TYPE_CHECKING:
    from hygro.decide.answers import Answer
    from hygro.decide.assessment import Assessment, assess
    from hygro.decide.verdict import Verdict


def __getattr__(name: str) -> Any:
    if name in _DOORS:
        return getattr(import_module(_DOORS[name]), name)
    raise AttributeError(f"module 'hygro.decide' has no attribute {name!r}")
