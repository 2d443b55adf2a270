"""Load a case file."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from pydantic import ValidationError

from hygro.case.case import Case
from hygro.case.checks import check_case
from hygro.case.problems import case_error
from hygro.case.schema import CaseFile
from hygro.case.source import parse_source, read_text
from hygro.materials import Material, ThinLayer


def load_case(
    path: str | Path,
    *,
    materials: Mapping[str, Material] | None = None,
    films: Mapping[str, ThinLayer] | None = None,
) -> Case:
    """Read and check a case file.

    Parameters
    ----------
    path : str or pathlib.Path
        A .toml file.
    materials : mapping, optional
        Materials made in Python, by the name under which layers call them; they go before the library.
    films : mapping, optional
        Films made in Python, likewise.

    Returns
    -------
    Case
        Frozen, with every default filled in and every material found.

    Raises
    ------
    CaseError
        The file is absent or unreadable, a key is unknown, missing or wrong, or things do not go together.
        One sentence with file and line.
    """
    path = Path(path)
    return parse_case(read_text(path), path, materials=materials, films=films)


def parse_case(
    text: str,
    path: str | Path = "case.toml",
    *,
    materials: Mapping[str, Material] | None = None,
    films: Mapping[str, ThinLayer] | None = None,
) -> Case:
    """Check the text of a case.

    Parameters
    ----------
    text : str
        TOML.
    path : str or pathlib.Path
        Named in errors; its directory is where relative paths start from.
    materials, films : mapping, optional
        As for `load_case`.

    Returns
    -------
    Case
        As from `load_case`.

    Raises
    ------
    CaseError
        As from `load_case`.
    """
    source = parse_source(text, Path(path))
    try:
        spec = CaseFile.model_validate(source.data)
    except ValidationError as failure:
        raise case_error(failure, source) from None
    check_case(spec, source)
    case = Case(spec, source, dict(materials or {}), dict(films or {}))
    _find_materials(case)
    return case


def _find_materials(case: Case) -> None:
    """Look up every material and film now, so that a wrong name is met before anything runs."""
    for variant in case.variants():
        for layer in variant.layers:
            if layer.material:
                case.material(layer)
            else:
                case.film(layer)
