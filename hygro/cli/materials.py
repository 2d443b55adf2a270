"""`hygro materials`: what the library holds, and where every value comes from."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any, Final

import click

from hygro.cli import material_check, material_plot
from hygro.cli.options import json_option
from hygro.cli.output import print_json, print_table

if TYPE_CHECKING:
    from hygro.materials import Material, Source, ThinLayer

FILM: Final = "film"
"""Category under which paints, membranes and foils are listed."""

SPREAD_HUMIDITY: Final = {"storage": " kg/m3 at 80 %", "vapour": " at 50 %", "s_d": " m"}
"""What stands behind the spread of a curve."""

_HUMIDITIES: Final = (0.5, 0.8, 0.93, 0.97, 0.99, 1.0)


@click.group("materials")
def group() -> None:
    """Look into the library of materials and films.

    \b
    Example:
      hygro materials show solid-brick
    """  # noqa: D301


for _other in (material_check.command, material_plot.plot_command, material_plot.compare_command):
    group.add_command(_other)


@group.command("list")
@click.option("--category", help="Only this category, such as insulation or film.")
@json_option
def list_command(category: str | None, as_json: bool) -> None:
    """List the materials and films that case files can name.

    \b
    Example:
      hygro materials list --category insulation
    """  # noqa: D301
    entries = _entries()
    categories = sorted({entry["category"] for entry in entries})
    if category is not None and category not in categories:
        raise click.BadParameter(f"{category!r} is none of {', '.join(categories)}", param_hint="--category")
    chosen = [entry for entry in entries if category in (None, entry["category"])]
    if as_json:
        print_json(chosen)
        return
    columns = ["name", "category", "what it is", "density kg/m3>", "conductivity W/(m K)>", "grade"]
    rows = [
        [
            entry["name"],
            entry["category"],
            entry["title"],
            _or_dash(entry["density"]),
            _or_dash(entry["conductivity"]),
            entry["grade"] or "-",
        ]
        for entry in chosen
    ]
    print_table("", columns, rows)


@group.command("show")
@click.argument("name")
@json_option
def show_command(name: str, as_json: bool) -> None:
    """Show a material or film: values, curves, and where each comes from.

    NAME is one of the library, or a .toml file of your own.

    \b
    Example:
      hygro materials show wood-fibre-rigid
    """  # noqa: D301
    from hygro.materials import list_films, load_film, load_material

    if name in list_films():
        _show_film(load_film(name), as_json)
    else:
        _show_material(load_material(name), as_json)


def _entries() -> list[dict[str, Any]]:
    from hygro.materials import list_films, list_materials, load_film, load_material

    materials = [load_material(name) for name in list_materials()]
    films = [load_film(name) for name in list_films()]
    listed = [
        {
            "name": material.name,
            "category": material.category,
            "title": material.title,
            "density": material.density,
            "conductivity": material.conductivity_dry,
            "grade": material.grade,
            "group": material.group,
        }
        for material in sorted(materials, key=lambda material: (material.category, material.name))
    ]
    return listed + [
        {
            "name": film.name,
            "category": FILM,
            "title": film.title,
            "density": None,
            "conductivity": None,
            "grade": None,
            "group": film.group,
        }
        for film in films
    ]


def _show_material(material: Material, as_json: bool) -> None:
    curves = _material_curves(material)
    if as_json:
        print_json(
            {
                "name": material.name,
                "title": material.title,
                "category": material.category,
                "description": material.description,
                "grade": material.grade,
                "group": material.group,
                "sources": [asdict(source) for source in material.sources],
                "curves": curves,
            }
        )
        return
    _print_head(material.name, material.title, material.category, material.description)
    click.echo(f"Grade: {material.grade}")
    click.echo("")
    _print_sources(material.sources)
    columns = [
        "RH %>",
        "water content kg/m3>",
        "vapour resistance factor>",
        "conductivity W/(m K)>",
        "liquid conductivity s>",
    ]
    rows = [
        [
            f"{row['relative_humidity_percent']:.0f}",
            f"{row['water_content_kg_m3']:.3g}",
            f"{row['vapour_resistance_factor']:.3g}",
            f"{row['conductivity_W_mK']:.3g}",
            f"{row['liquid_conductivity_s']:.2e}",
        ]
        for row in curves
    ]
    print_table("Curves at 20 degC", columns, rows)


def _material_curves(material: Material) -> list[dict[str, float]]:
    """Curves of the solver's table at a few humidities; at 100 % those of capillary saturation."""
    import numpy as np

    from hygro.constants import REFERENCE_TEMPERATURE
    from hygro.materials.tables import LOG_SUCTION
    from hygro.physics.moist_air import suction

    table = material.table()
    nodes = 10.0**LOG_SUCTION
    liquid = -np.gradient(table.flux_potential, nodes)
    rows = []
    for humidity in _HUMIDITIES:
        x = np.log10(max(float(suction(humidity, REFERENCE_TEMPERATURE)), 1.0))
        rows.append(
            {
                "relative_humidity_percent": 100.0 * humidity,
                "water_content_kg_m3": float(np.interp(x, LOG_SUCTION, table.water_content)),
                "vapour_resistance_factor": float(np.interp(x, LOG_SUCTION, table.resistance_factor)),
                "conductivity_W_mK": float(np.interp(x, LOG_SUCTION, table.conductivity)),
                "liquid_conductivity_s": max(float(np.interp(x, LOG_SUCTION, liquid)), 0.0),
            }
        )
    return rows


def _show_film(film: ThinLayer, as_json: bool) -> None:
    humidities = (0.0, 0.25, 0.5, 0.75, 1.0)
    resistance = [
        {"relative_humidity_percent": 100.0 * humidity, "s_d_m": float(film.s_d[round(100 * humidity)])}
        for humidity in humidities
    ]
    if as_json:
        print_json(
            {
                "name": film.name,
                "title": film.title,
                "category": FILM,
                "description": film.description,
                "liquid_open": film.liquid_open,
                "sources": [asdict(source) for source in film.sources],
                "curves": resistance,
            }
        )
        return
    _print_head(film.name, film.title, FILM, film.description)
    _print_sources(film.sources)
    rows = [[f"{row['relative_humidity_percent']:.0f}", f"{row['s_d_m']:.3g}"] for row in resistance]
    print_table("Resistance to vapour", ["RH %>", "s_d m>"], rows)


def _print_head(name: str, title: str, category: str, description: str) -> None:
    click.echo(f"{name}: {title} ({category})")
    if description:
        click.echo(description)
    click.echo("")


def _print_sources(sources: tuple[Source, ...]) -> None:
    columns = ["value of", "value", "spread", "kind", "source", "why it spreads"]
    rows = [[s.key.replace("_", " "), s.value, _spread(s), s.kind, s.source, s.spread] for s in sources]
    print_table("Values and where they come from", columns, rows)


def _spread(source: Source) -> str:
    if source.low is None or source.high is None:
        return ""
    return f"{source.low:g} to {source.high:g}{SPREAD_HUMIDITY.get(source.key, '')}"


def _or_dash(value: float | None) -> str:
    return "-" if value is None else f"{value:g}"
