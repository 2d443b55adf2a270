"""Whether a result file on disk is that of a variant as it stands now."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import hygro
from hygro.case.case import Case
from hygro.case.variants import Variant


def is_reusable(path: Path, case: Case, variant: Variant) -> bool:
    """Tell whether a result file may stand for a variant.

    Only the attributes are read; whether the arrays are sound shows when they are loaded.

    Parameters
    ----------
    path : Path
        A file that may not exist.
    case : Case
        Its digest covers the resolved case, its files and its materials.
    variant : Variant
        One of the case's.

    Returns
    -------
    bool
        True where the file is complete and was made by this version of hygro, and, in a working copy, by this
        commit, from this case and for this variant.
    """
    attributes = _attributes(path)
    return attributes is not None and _wanted(case, variant).items() <= attributes.items()


def _wanted(case: Case, variant: Variant) -> dict[str, Any]:
    from hygro.results.provenance import source_text

    return {
        "status": "complete",
        "case_sha256": case.digest(),
        "hygro": hygro.__version__,
        "source": source_text(),
        "build_up": variant.build_up,
        "thickness_mm": "none" if variant.thickness_mm is None else float(variant.thickness_mm),
        "elevation": "none" if variant.elevation is None else float(variant.elevation),
    }


def _attributes(path: Path) -> dict[str, Any] | None:
    """Read the global attributes, or None where there is no readable result."""
    import netCDF4

    if not path.is_file():
        return None
    try:
        with netCDF4.Dataset(path) as file:
            found = {name: file.getncattr(name) for name in file.ncattrs()}
        made_by = json.loads(found.get("versions", "{}"))
    except (OSError, RuntimeError, ValueError):
        return None
    plain = {name: value.item() if hasattr(value, "item") else value for name, value in found.items()}
    return plain | {"hygro": made_by.get("hygro") if isinstance(made_by, dict) else None}


def made_by_modified_copy() -> bool:
    """Tell whether this is a working copy with changes that its version does not show."""
    from hygro.results.provenance import source_text

    return source_text().endswith("modified)")
