"""Where a run keeps its state while it is under way, and what that state belongs to."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict
from functools import cache
from pathlib import Path

import numpy as np

import hygro
from hygro.case import Case
from hygro.case.variants import Variant
from hygro.grid.cells import Grid
from hygro.results.provenance import source_text, versions
from hygro.solve.checkpoint import Checkpoint
from hygro.solve.settings import Settings

SUFFIX = ".unfinished"
"""Added to the name of the result file; gone when the result is there."""


def checkpoint_of(out: Path, case: Case, variant: Variant, settings: Settings, grid: Grid) -> Checkpoint:
    """Return the checkpoint of a run.

    Parameters
    ----------
    out : Path
        The result file that it will become.
    case, variant : Case, Variant
        What is simulated; the digest of a case covers its weather and its materials.
    settings : Settings
        How accurately.
    grid : Grid
        On which grid.

    Returns
    -------
    Checkpoint
        Beside `out`.
    """
    return Checkpoint(out.with_name(out.name + SUFFIX), run_digest(case, variant, settings, grid))


def run_digest(case: Case, variant: Variant, settings: Settings, grid: Grid) -> str:
    """Return a hash of everything that the numbers of a run depend on.

    Parameters
    ----------
    case, variant, settings, grid
        As for `checkpoint_of`.

    Returns
    -------
    str
        Other code, packages, case, wall, settings or cells give another one.
    """
    said = [
        case.digest(), variant.slug, asdict(settings), source_text(), code_digest(), versions(),
    ]  # fmt: skip
    digest = hashlib.sha256(json.dumps(said, sort_keys=True).encode())
    for array in (
        grid.size,
        grid.layer,
        grid.table,
        grid.film,
        grid.open,
        grid.contact,
        grid.tables,
        grid.film_s_d,
    ):
        digest.update(np.ascontiguousarray(array).tobytes())
    return digest.hexdigest()


@cache
def code_digest() -> str:
    """Return a hash of hygro's own code, which a working copy may have changed since its last commit."""
    folder = Path(hygro.__file__).parent
    digest = hashlib.sha256()
    for path in sorted(folder.rglob("*.py")):
        digest.update(path.relative_to(folder).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()
