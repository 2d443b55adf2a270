"""Finding materials and films by name, in the library or in a file of one's own."""

from __future__ import annotations

import difflib
from functools import cache
from pathlib import Path

from hygro.errors import MaterialError
from hygro.materials.film import ThinLayer
from hygro.materials.material import Material
from hygro.materials.parse import parse_film, parse_material

DATA = Path(__file__).parent / "data"
"""One file a material; films in the folder of that name."""

FILMS = DATA / "films"


def list_materials() -> list[str]:
    """Names of the library's materials, sorted."""
    return sorted(path.stem for path in DATA.glob("*.toml"))


def list_films() -> list[str]:
    """Names of the library's films, sorted."""
    return sorted(path.stem for path in FILMS.glob("*.toml"))


def load_material(name_or_path: str | Path, base: Path | None = None) -> Material:
    """Load a material.

    Parameters
    ----------
    name_or_path : str or Path
        A name of the library, or a file (holds a slash or ends in .toml).
    base : Path, optional
        Folder that a relative file starts from; the working folder if not given.

    Returns
    -------
    Material
        Library materials are read once and shared.

    Raises
    ------
    MaterialError
        If the name is unknown (with the nearest ones) or the file is not usable.
    """
    path = _own_file(name_or_path, base, "material")
    if path is not None:
        return parse_material(path)
    name = str(name_or_path)
    if name not in list_materials():
        _unknown(name, "material", list_materials(), "film", list_films())
    return _library_material(name)


def load_film(name_or_path: str | Path, base: Path | None = None) -> ThinLayer:
    """Load a film (paint, membrane, foil).

    Parameters
    ----------
    name_or_path : str or Path
        A name of the library, or a file (holds a slash or ends in .toml).
    base : Path, optional
        Folder that a relative file starts from; the working folder if not given.

    Returns
    -------
    ThinLayer

    Raises
    ------
    MaterialError
        If the name is unknown (with the nearest ones) or the file is not usable.
    """
    path = _own_file(name_or_path, base, "film")
    if path is not None:
        return parse_film(path)
    name = str(name_or_path)
    if name not in list_films():
        _unknown(name, "film", list_films(), "material", list_materials())
    return _library_film(name)


@cache
def _library_material(name: str) -> Material:
    return parse_material(DATA / f"{name}.toml")


@cache
def _library_film(name: str) -> ThinLayer:
    return parse_film(FILMS / f"{name}.toml")


def _own_file(name_or_path: str | Path, base: Path | None, kind: str) -> Path | None:
    if isinstance(name_or_path, str) and "/" not in name_or_path and not name_or_path.endswith(".toml"):
        return None
    path = (base or Path()) / name_or_path
    if not path.is_file():
        names = [entry.name for entry in path.parent.glob("*.toml")]
        close = difflib.get_close_matches(path.name, sorted(names), n=1)
        raise MaterialError(
            f"there is no such {kind} file",
            found=str(path),
            hint=f"did you mean {close[0]!r}?"
            if close
            else "a name without slash and .toml is looked up in the library",
        )
    return path


def _unknown(name: str, kind: str, names: list[str], other_kind: str, others: list[str]) -> None:
    if name in others:
        raise MaterialError(
            f"{name!r} is a {other_kind}, not a {kind}", hint=f'write {other_kind} = "{name}"'
        )
    close = difflib.get_close_matches(
        name.lower().replace("_", "-").replace(" ", "-"), names, n=3, cutoff=0.5
    )
    hint = "did you mean " + " or ".join(repr(word) for word in close) + "?" if close else None
    raise MaterialError(
        f"unknown {kind} {name!r}",
        hint=hint or f"the library holds {', '.join(names)}",
    )
