"""Pages of the documentation that show every value of the library, a page a shelf, made from the data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np

from hygro.materials.census import library_census
from hygro.materials.document import resistance_at
from hygro.materials.film import ThinLayer
from hygro.materials.library import list_films, list_materials, load_film, load_material
from hygro.materials.liquid import NoLiquid
from hygro.materials.material import Material
from hygro.materials.parse import GROUPS, STORAGE_SPREAD_HUMIDITY, VAPOUR_SPREAD_HUMIDITY
from hygro.materials.sources import Source

MADE = "Made from the data by `python -m hygro.materials`; changes belong into `hygro/materials/data/`."

WIDE = 5.0
"""Ratio of high to low from which on a spread is called out."""

SPREAD_UNITS = {"storage": " kg/m³ at 80 %", "vapour": " at 50 %", "s_d": " m"}
"""What stands behind the spreads of curves."""

WORDS = {
    "storage": "water content",
    "liquid": "liquid transport",
    "vapour": "vapour resistance",
    "heat": "growth of conductivity",
}
"""What curves are called."""

INDEX, MEMORY = "README.md", "memory.md"


def library_pages() -> dict[str, str]:
    """Write all pages.

    Returns
    -------
    dict
        Text by file name, without a folder.
    """
    materials = [load_material(name) for name in list_materials()]
    films = [load_film(name) for name in list_films()]
    pages = {INDEX: index_page(materials, films), MEMORY: memory_page()}
    for group in GROUPS:
        things: list[Material | ThinLayer] = [*materials, *films]
        pages[file_of(group)] = group_page(group, [thing for thing in things if thing.group == group])
    return pages


def file_of(group: str) -> str:
    """File name of a shelf's page."""
    words = group.replace(",", "").split()
    return "-".join(words) + ".md"


def index_page(materials: Sequence[Material], films: Sequence[ThinLayer]) -> str:
    """List the shelves and what stands on them."""
    rows = []
    things: list[Material | ThinLayer] = [*materials, *films]
    for group in GROUPS:
        names = [f"`{thing.name}`" for thing in things if thing.group == group]
        rows.append(f"| [{group}]({file_of(group)}) | {len(names)} | {', '.join(names)} |")
    head = ["# The library, shelf by shelf", "", MADE, "", "| shelf | number | names |", "|---|---|---|"]
    tail = ["", f"[Every value from memory]({MEMORY})", ""]
    return "\n".join([*head, *rows, *tail])


def memory_page() -> str:
    """List every recalled value with its spread."""
    census = library_census()
    lines = [
        "# Values from memory",
        "",
        MADE,
        "",
        f"{len(census.recalled)} values and curves are recalled and unconfirmed. Before anything depends",
        "on one, measure it or find it in print; `with_value` shows what its spread does to a result.",
        "",
        "| material or film | value of | value | spread |",
        "|---|---|---|---|",
    ]
    lines += [
        f"| `{name}` | {_words(source.key)} | {_value(source)} | {_range(source)} |"
        for name, source in census.recalled
    ]
    return "\n".join([*lines, ""])


def group_page(group: str, things: Sequence[Material | ThinLayer]) -> str:
    """Show one shelf."""
    title = group[0].upper() + group[1:]
    lines = [f"# {title}", "", MADE, ""]
    lines += [f"- [{thing.title}](#{thing.name})" for thing in things]
    lines.append("")
    for thing in things:
        lines += _material(thing) if isinstance(thing, Material) else _film(thing)
    return "\n".join(lines)


def _material(material: Material) -> list[str]:
    return [
        f'<a id="{material.name}"></a>',
        "",
        f"## {material.title}",
        "",
        f"`{material.name}`, {material.grade}. {material.description}",
        "",
        *_warnings(warnings_of(material)),
        *_sources(material.sources, _at_spread(material)),
        f"![Curves of {material.name}](pictures/{material.name}.svg)",
        "",
    ]


def _film(film: ThinLayer) -> list[str]:
    return [
        f'<a id="{film.name}"></a>',
        "",
        f"## {film.title}",
        "",
        f"`{film.name}`. {film.description}",
        "",
        *_warnings(_recalled(film.sources) + _wide(film.sources)),
        *_sources(film.sources),
    ]


def warnings_of(material: Material) -> list[str]:
    """Say what a user of the material should know first.

    Parameters
    ----------
    material : Material
        Any.

    Returns
    -------
    list of str
        Sentences; empty where nothing is to be said.
    """
    found = _recalled(material.sources) + _wide(material.sources)
    if isinstance(material.liquid, NoLiquid):
        found.append("No liquid moves in it: water only as vapour, and rain does not enter it.")
    slack = material.water_content(0.95) / max(material.water_content(0.8), 1e-9)
    if slack > WET_RISE:
        found.append(
            f"Water content rises {slack:.0f}-fold from 80 to 95 % humidity: the wet end rules the result."
        )
    return found


WET_RISE = 6.0
"""Rise of water content between 80 and 95 % humidity that is called out."""


def _recalled(sources: Sequence[Source]) -> list[str]:
    keys = [_words(source.key) for source in sources if source.kind == "memory"]
    return [f"From memory, unconfirmed: {', '.join(keys)}."] if keys else []


def _wide(sources: Sequence[Source]) -> list[str]:
    found = []
    for source in sources:
        if source.low is not None and source.high is not None and source.high >= WIDE * source.low > 0.0:
            ratio = source.high / source.low
            found.append(f"The {_words(source.key)} spreads over a factor of {ratio:.2g}.")
    return found


def _warnings(sentences: Sequence[str]) -> list[str]:
    return [*(f"- {sentence}" for sentence in sentences), ""] if sentences else []


def _at_spread(material: Material) -> dict[str, str]:
    """Return numbers that curves have where their spread is stated."""
    return {
        "storage": f", {material.water_content(STORAGE_SPREAD_HUMIDITY):.3g} kg/m³ at 80 %",
        "vapour": f", {resistance_at(material, VAPOUR_SPREAD_HUMIDITY):.3g} at 50 %",
    }


def _sources(sources: Sequence[Source], numbers: Mapping[str, str] = MappingProxyType({})) -> list[str]:
    rows = ["| value of | value | spread | kind | source | why it spreads |", "|---|---|---|---|---|---|"]
    for source in sources:
        sample = f" (sample: {source.sample})" if source.sample else ""
        value = _value(source) + numbers.get(source.key, "")
        cells = (_words(source.key), value, _range(source), source.kind)
        rows.append("| " + " | ".join((*cells, source.source + sample, source.spread)) + " |")
    return [*rows, ""]


def _words(key: str) -> str:
    return key if key == "s_d" else WORDS.get(key, key.replace("_", " "))


def _value(source: Source) -> str:
    return source.value.replace("kg/m3", "kg/m³").replace("m2", "m²").replace("s^0.5", "√s")


def _range(source: Source) -> str:
    if source.low is None or source.high is None:
        return ""
    return f"{source.low:g} to {source.high:g}{SPREAD_UNITS.get(source.key, '')}"


def curve_points(material: Material) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """Curves of a material as the pictures show them.

    Returns
    -------
    dict
        "storage" (humidity %, kg/m3), "suction" (log10 Pa, kg/m3), "vapour" (humidity %, mu), "liquid"
        (log10 Pa, log10 of K in kg/(m s Pa); empty where no liquid moves), "heat" (kg/m3, W/(m K)).
    """
    from hygro.materials.tables import LOG_SUCTION

    humidity = np.linspace(0.02, 0.98, 25)
    water = np.asarray(material.water_content(humidity))
    mu = np.asarray(material.vapour.resistance_factor(humidity, water))
    filled = np.linspace(0.0, material.free_saturation, 21)
    table = material.table()
    chosen = slice(int(np.searchsorted(LOG_SUCTION, 2.0)), int(np.searchsorted(LOG_SUCTION, 8.5)), 20)
    log_suction = LOG_SUCTION[chosen]
    slope = -np.gradient(table.flux_potential, 10.0**LOG_SUCTION)[chosen]
    moves = slope > 0.0
    return {
        "storage": (100.0 * humidity, water),
        "suction": (log_suction, table.water_content[chosen]),
        "vapour": (100.0 * humidity, mu),
        "liquid": (log_suction[moves], np.log10(slope[moves])),
        "heat": (filled, np.asarray(material.heat.conductivity(filled))),
    }
