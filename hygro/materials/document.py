"""Tables of the library as text, for the documentation and for the command line."""

from __future__ import annotations

import numpy as np

from hygro.materials.census import Census, library_census
from hygro.materials.film import ThinLayer
from hygro.materials.grade import GRADES, Grade
from hygro.materials.library import list_films, list_materials, load_film, load_material
from hygro.materials.material import Material
from hygro.materials.parse import CATEGORIES
from hygro.materials.sources import Kind

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
    "grade",
)

GRADE_WORDS: dict[Grade, str] = {
    "measured set": "set",
    "composite of sources": "composite",
    "partly from memory": "memory",
}
"""Short words for the grades in wide tables."""


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
    ]
    return "\n".join(lines)


def census_table(census: Census | None = None) -> str:
    """Markdown tables of how much is known, and how well.

    Parameters
    ----------
    census : Census, optional
        That of the library if not given.
    """
    census = census or library_census()
    kinds = [f"| {kind} | {census.kinds[kind]} | {census.film_kinds[kind]} |" for kind in census.kinds]
    grades = [f"| {grade} | {census.grades[grade]} |" for grade in GRADES]
    return "\n".join(
        [
            f"| kind of source | values of {census.materials} materials | of {census.films} films |",
            "|---|---|---|",
            *kinds,
            "",
            "| grade | materials |",
            "|---|---|",
            *grades,
        ]
    )


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
    cells.append(GRADE_WORDS[material.grade])
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
