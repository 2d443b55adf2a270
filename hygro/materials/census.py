"""What the library holds, counted: kinds of sources, grades of materials, and every recalled value."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from hygro.materials.film import ThinLayer
from hygro.materials.grade import GRADES, Grade
from hygro.materials.library import list_films, list_materials, load_film, load_material
from hygro.materials.material import Material
from hygro.materials.sources import KINDS, Kind, Source


@dataclass(frozen=True)
class Census:
    """Counts of the library.

    Parameters
    ----------
    materials, films : int
        How many there are.
    kinds, film_kinds : mapping
        Values and curves by kind of source, of materials and of films.
    grades : mapping
        Materials by grade.
    groups : mapping
        Materials and films by shelf.
    recalled : tuple of (name, Source)
        Every value of kind memory, by name of its material or film.
    """

    materials: int
    films: int
    kinds: Mapping[Kind, int]
    film_kinds: Mapping[Kind, int]
    grades: Mapping[Grade, int]
    groups: Mapping[str, int]
    recalled: tuple[tuple[str, Source], ...]


def count_by_kind(things: Iterable[Material | ThinLayer]) -> dict[Kind, int]:
    """Count values and curves by how sure they are.

    Parameters
    ----------
    things : iterable of Material or ThinLayer
        What to count.

    Returns
    -------
    dict
        Number for each kind, in the order of `KINDS`.
    """
    counted = Counter(source.kind for thing in things for source in thing.sources)
    return {kind: counted[kind] for kind in KINDS}


def library_census() -> Census:
    """Count the whole library."""
    materials = [load_material(name) for name in list_materials()]
    films = [load_film(name) for name in list_films()]
    things: list[Material | ThinLayer] = [*materials, *films]
    graded = Counter(material.grade for material in materials)
    return Census(
        materials=len(materials),
        films=len(films),
        kinds=count_by_kind(materials),
        film_kinds=count_by_kind(films),
        grades={grade: graded[grade] for grade in GRADES},
        groups=Counter(thing.group for thing in things),
        recalled=tuple((thing.name, s) for thing in things for s in thing.sources if s.kind == "memory"),
    )
