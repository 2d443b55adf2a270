"""Tables of the library as text, for the documentation and for the command line."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

import numpy as np

from hygro.materials.film import ThinLayer
from hygro.materials.library import list_films, list_materials, load_film, load_material
from hygro.materials.material import Material
from hygro.materials.parse import CATEGORIES
from hygro.materials.sources import KINDS, Kind

MARKS: dict[Kind, str] = {"published": "", "derived": "d", "common practice": "c", "memory": "m"}
"""Letter set behind a number that is not simply published."""

MATERIAL_COLUMNS = (
    "name",
    "ρ, kg/m³",
    "c, J/(kg·K)",
    "λ dry, W/(m·K)",
    "porosity",
    "w_f, kg/m³",
    "A, kg/(m²·√s)",
    "μ at 30 / 80 %",
    "w at 80 %, kg/m³",
    "mould sensitivity",
)


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


def library_table() -> str:
    """Markdown tables of all materials and films, with marks for what is not published."""
    materials = [load_material(name) for name in list_materials()]
    films = [load_film(name) for name in list_films()]
    lines = [
        "| " + " | ".join(MATERIAL_COLUMNS) + " |",
        "|---" * len(MATERIAL_COLUMNS) + "|",
        *(_material_row(material) for material in sorted(materials, key=_shelf)),
        "",
        "| film | s_d, m (dry / humid) | water passes |",
        "|---|---|---|",
        *(_film_row(film) for film in films),
        "",
        _counts("materials", count_by_kind(materials)),
        _counts("films", count_by_kind(films)),
    ]
    return "\n".join(lines)


def _shelf(material: Material) -> tuple[int, str]:
    return CATEGORIES.index(material.category), material.name


def _material_row(material: Material) -> str:
    scalars = ("density", "specific_heat", "conductivity_dry", "porosity", "free_saturation")
    cells = [f"`{material.name}`"]
    cells += [f"{getattr(material, key):g}{_mark(material, key)}" for key in scalars]
    absorption = material.absorption_coefficient
    cells.append("-" if absorption is None else f"{absorption:g}{_mark(material, 'absorption_coefficient')}")
    dry, humid = (resistance_at(material, humidity) for humidity in (0.3, 0.8))
    cells.append(f"{dry:.3g} / {humid:.3g}{_mark(material, 'vapour')}")
    cells.append(f"{material.water_content(0.8):.3g}{_mark(material, 'storage')}")
    cells.append(f"{material.mould_sensitivity}{_mark(material, 'mould_sensitivity')}")
    return "| " + " | ".join(cells) + " |"


def _film_row(film: ThinLayer) -> str:
    mark = MARKS[film.sources[0].kind]
    passes = "yes" if film.liquid_open else "no"
    return f"| `{film.name}` | {film.s_d[0]:g} / {film.s_d[-1]:g}{' ' + mark if mark else ''} | {passes} |"


def resistance_at(material: Material, relative_humidity: float) -> float:
    """Water vapour resistance factor [1] of a material at a relative humidity [1] and 20 degC."""
    humidity = np.array([relative_humidity])
    water = np.array([material.water_content(relative_humidity)])
    return float(material.vapour.resistance_factor(humidity, water)[0])


def _mark(material: Material, key: str) -> str:
    mark = MARKS[material.source(key).kind]
    return f" {mark}" if mark else ""


def _counts(what: str, counted: dict[Kind, int]) -> str:
    parts = ", ".join(f"{number} {kind}" for kind, number in counted.items())
    return f"Values and curves of the {what}: {parts}."
