"""Compile the kernels for the CPU from their plain source; the cache on disk notices every change of it."""

from __future__ import annotations

import hashlib
import inspect
import os
from collections.abc import Callable
from functools import cache
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

from hygro import constants
from hygro.materials import tables
from hygro.solve import (
    elimination,
    flows,
    kernels,
    layout,
    liquid,
    solves,
    sources,
    state,
    steps,
    surfaces,
    sweep,
)

OPTIONS: dict[str, Any] = {"error_model": "numpy", "fastmath": {"contract"}, "_nrt": False}
"""Division by zero gives infinity; multiply and add in one rounding, where the processor can, and nothing
else reordered; no counting of references to arrays, which nothing here allocates: the locked counters took
half of the time."""

CALLED = frozenset(
    {
        "contact_flow",
        "renew_gains",
        "source_flows",
        "same_slopes",
        "source_gain",
        "record_gain",
        "restrained",
        "add_up_gains",
    }
)
"""Functions that few walls or hours need: called, not put in line, so that others do not pay for them."""

COMPILED: tuple[ModuleType, ...] = (
    state,
    liquid,
    flows,
    sources,
    elimination,
    sweep,
    solves,
    surfaces,
    steps,
    kernels,
)
"""Modules whose functions are compiled, in the order of their imports: each calls what stands before it."""

SOURCES: tuple[ModuleType, ...] = (constants, tables, layout, *COMPILED)
"""Modules whose text decides the compiled code."""


def source_digest() -> str:
    """Return a hash of all kernel sources and of the numba version.

    The compiler's own cache looks at one file only and would give old answers after a change in another.
    """
    import numba

    digest = hashlib.sha256(" ".join((numba.__version__, repr(OPTIONS), *sorted(CALLED))).encode())
    for module in SOURCES:
        digest.update(inspect.getsource(module).encode())
    return digest.hexdigest()[:16]


def cache_directory() -> Path:
    """Return where compiled kernels are kept: NUMBA_CACHE_DIR, else the user's cache directory."""
    base = os.environ.get("NUMBA_CACHE_DIR")
    home = Path(base) if base else Path(os.environ.get("XDG_CACHE_HOME", Path.home() / ".cache")) / "hygro"
    return home / source_digest()


@cache
def cpu_march() -> Callable[..., int]:
    """Return `kernels.march` compiled for the CPU (lazily, on its first call).

    With NUMBA_DISABLE_JIT=1 the plain function is returned.
    """
    import numba

    if os.environ.get("NUMBA_DISABLE_JIT", "0") != "0":
        return kernels.march
    scope: dict[str, Any] = {}
    for module in COMPILED:
        for function in vars(module).values():
            if isinstance(function, FunctionType) and function.__module__ == module.__name__:
                scope[function.__name__] = _rebound(function, scope)
                if function is not kernels.march:
                    scope[function.__name__] = numba.njit(
                        scope[function.__name__],
                        forceinline=function.__name__ not in CALLED,
                        **OPTIONS,
                    )
    # A dispatcher reads the place of its cache when it is made; other users of numba keep theirs.
    settings: Any = numba.config
    saved = settings.CACHE_DIR
    settings.CACHE_DIR = str(cache_directory())
    try:
        return numba.njit(scope["march"], cache=True, **OPTIONS)
    finally:
        settings.CACHE_DIR = saved


def is_compiled() -> bool:
    """Tell whether this machine already holds compiled kernels for this source."""
    folder = cache_directory()
    return folder.is_dir() and any(folder.rglob("*.nbc"))


def _rebound(function: FunctionType, scope: dict[str, Any]) -> FunctionType:
    """Copy a function so that the kernel functions it calls are the compiled ones in `scope`."""
    names = {**function.__globals__, **scope}
    copy = FunctionType(
        function.__code__, names, function.__name__, function.__defaults__, function.__closure__
    )
    copy.__qualname__ = function.__qualname__
    copy.__doc__ = function.__doc__
    return copy
