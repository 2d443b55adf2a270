"""`hygro weather`: exposure to driving rain, the wet year of a record, hours from normals, future years."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from hygro.cli.options import json_option, refuse_other_ending
from hygro.cli.output import counted, print_json, print_table
from hygro.cli.weather_options import out_option, read_weather, site_of, site_options, weather_file

if TYPE_CHECKING:
    import xarray as xr

    from hygro.climate.years import Choice, YearFigures


@click.group("weather")
def group() -> None:
    """Look into weather: driving rain, wet years, years from a climate table, future years.

    \b
    Example:
      hygro weather rain climate/exposed-coast.csv
    """  # noqa: D301


@group.command("rain")
@weather_file
@click.option("--elevation", "elevations", multiple=True, help="Only this elevation; may be repeated.")
@site_options
@click.option("--methods", is_flag=True, help="Compare methods as well, elevation by elevation.")
@json_option
def rain_command(
    file: Path,
    rain: str | None,
    place: tuple[float, float, float] | None,
    elevations: tuple[str, ...],
    methods: bool,
    as_json: bool,
    **site: Any,
) -> None:
    """Driving rain on each elevation: annual and spell index of ISO 15927-3, exposure category.

    \b
    Example:
      hygro weather rain climate/exposed-coast.csv --terrain I --elevation SW --methods
    """  # noqa: D301
    from hygro.climate import parse_elevation
    from hygro.climate.exposure import EIGHT, YEARS_FOR_PERCENTILE, exposure_table, method_table

    weather, factors = read_weather(file, rain, place), site_of(**site)
    directions = [parse_elevation(text) for text in elevations] or list(EIGHT)
    rows = exposure_table(weather, factors, directions)
    compared = {row.name: method_table(weather, factors, row.elevation) for row in rows} if methods else {}
    few = rows[0].years < YEARS_FOR_PERCENTILE
    note = (
        f"The record holds {counted(rows[0].years, 'year')}: spells that come back once in 3 or 10 years "
        f"need {YEARS_FOR_PERCENTILE} or more."
        if few
        else ""
    )
    if as_json:
        data: dict[str, Any] = {"elevations": [row.to_dict() for row in rows], "note": note}
        if methods:
            data["methods"] = {name: [row.to_dict() for row in table] for name, table in compared.items()}
        print_json(data)
        return
    columns = [
        "elevation",
        "airfield index l/(m2 a)>",
        "wall index l/(m2 a)>",
        "wall spell, 1 in 3 years l/m2>",
        "1 in 10 years l/m2>",
        "exposure",
    ]
    cells = [
        [
            row.name,
            f"{row.airfield_index:.0f}",
            f"{row.wall_index:.0f}",
            f"{row.wall_spell:.1f}",
            f"{row.wall_spell_10:.1f}",
            row.category,
        ]
        for row in rows
    ]
    print_table(f"Driving rain, C_R C_T O W = {factors.rain_factor:.3f}", columns, cells)
    for name, table in compared.items():
        columns = ["method", "in the open l/(m2 a)>", "on the wall l/(m2 a)>", "what sets it apart"]
        lines = [[m.method, f"{m.in_the_open:.0f}", f"{m.on_the_wall:.0f}", m.why] for m in table]
        print_table(f"{name}: methods side by side", columns, lines)
    if note:
        click.echo(note)


@group.command("years")
@weather_file
@click.option("--elevation", default="SW", show_default=True, help="Direction the wall faces.")
@site_options
@click.option(
    "--method",
    type=click.Choice(["climatic index", "driving rain", "moisture index"]),
    default="climatic index",
    show_default=True,
    help="What ranks the years.",
)
@click.option(
    "--choose",
    multiple=True,
    metavar="YEAR",
    help="severe, average, driest, all, or a year of the record; repeated, they are stitched in this order.",
)
@click.option(
    "--out",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the chosen years as .csv; one that is there is replaced.",
)
@json_option
def years_command(
    file: Path,
    rain: str | None,
    place: tuple[float, float, float] | None,
    elevation: str,
    method: Any,
    choose: tuple[str, ...],
    out: Path | None,
    as_json: bool,
    **site: Any,
) -> None:
    """Rank the years of a record by how wet they leave a wall, and write the chosen ones.

    \b
    Example:
      hygro weather years record.csv --elevation SW --choose severe --out severe.csv
    """  # noqa: D301
    from hygro.climate import parse_elevation
    from hygro.climate.csv_writer import write_weather
    from hygro.climate.years import CHOICES, chosen_year, ranked, stitched, year_figures

    if bool(choose) != (out is not None):
        raise click.UsageError("--choose and --out go together")
    weather = read_weather(file, rain, place)
    figures = year_figures(weather, parse_elevation(elevation), site_of(**site))
    picks = {c: chosen_year(figures, c, method).year for c in CHOICES} if len(figures) > 1 else {}
    if out is not None:
        positions = [p for text in choose for p in _positions(text, figures, method)]
        chosen = stitched(weather, positions, f"{', '.join(choose)} by {method}, wall facing {elevation}")
        write_weather(chosen, out)
        click.echo(f"wrote {out}: {counted(len(positions), 'year')}", err=True)
    order = ranked(figures, method)
    if as_json:
        print_json({"method": method, "chosen": picks, "years": [year.to_dict() for year in order]})
        return
    _print_years(order, picks, f"Years from wet to dry by {method}, wall facing {elevation}")


def _positions(text: str, figures: tuple[YearFigures, ...], method: Any) -> list[int]:
    from hygro.climate.years import CHOICES, chosen_year

    if text == "all":
        return [year.position for year in figures]
    if text in CHOICES:
        choice: Choice = text
        return [chosen_year(figures, choice, method).position]
    found = [year.position for year in figures if str(year.year) == text]
    if not found:
        known = ", ".join(str(year.year) for year in figures)
        raise click.BadParameter(
            f"{text!r} is none of {', '.join(CHOICES)}, all, {known}", param_hint="--choose"
        )
    return found


def _print_years(order: list[YearFigures], picks: dict[Choice, int], title: str) -> None:
    columns = [
        "year",
        "moisture index>",
        "climatic index>",
        "driving rain l/m2>",
        "worst spell l/m2>",
        "drying kg h/kg>",
        "air degC>",
        "RH %>",
        "chosen as",
    ]
    rows = [
        [
            str(year.year),
            f"{year.moisture_index:.2f}",
            f"{year.climatic_index:.3f}",
            f"{year.driving_rain:.0f}",
            f"{year.worst_spell:.0f}",
            f"{year.drying:.1f}",
            f"{year.air_temperature:.1f}",
            f"{100.0 * year.relative_humidity:.0f}",
            ", ".join(name for name, number in picks.items() if number == year.year),
        ]
        for year in order
    ]
    print_table(title, columns, rows)


@group.command("normals")
@weather_file
@out_option
def normals_command(
    file: Path, rain: str | None, place: tuple[float, float, float] | None, out: Path
) -> None:
    """Take monthly normals and wind roses from a weather file.

    \b
    Example:
      hygro weather normals climate/exposed-coast.csv --out coast.toml
    """  # noqa: D301
    from hygro.climate.normals import normals_of, write_normals

    refuse_other_ending(out, ".toml")
    write_normals(normals_of(read_weather(file, rain, place)), out)
    click.echo(f"wrote {out}", err=True)


@group.command("make")
@click.argument("normals_file", metavar="NORMALS.toml", type=click.Path(path_type=Path))
@click.option("--years", default=1, show_default=True, help="How many years of 8760 h.")
@click.option("--seed", default=1, show_default=True, help="Another seed, other years of the same climate.")
@out_option
def make_command(normals_file: Path, years: int, seed: int, out: Path) -> None:
    """Make hours of weather from a climate table, where nothing hourly is to be had.

    The hours are invented within the monthly normals, and the file says so.

    \b
    Example:
      hygro weather make coast.toml --years 10 --out coast-made.csv
    """  # noqa: D301
    from hygro.climate.normals import load_normals
    from hygro.climate.stochastic import write_generated

    refuse_other_ending(out, ".csv")
    write_generated(load_normals(normals_file), out, years, seed)
    click.echo(f"wrote {out}: {counted(years, 'year')} of generated hours", err=True)


@group.command("future")
@weather_file
@click.argument("changes_file", metavar="CHANGES.toml", type=click.Path(path_type=Path))
@out_option
def future_command(
    file: Path, rain: str | None, place: tuple[float, float, float] | None, changes_file: Path, out: Path
) -> None:
    """Morph a base record by monthly change factors, for a year of a changed climate.

    \b
    Example:
      hygro weather future climate/exposed-coast.csv climate/what-if-warmer.toml --out warmer.csv
    """  # noqa: D301
    from hygro.climate import weather_statistics
    from hygro.climate.csv_writer import write_weather
    from hygro.climate.future import load_changes, morphed

    refuse_other_ending(out, ".csv")
    base = read_weather(file, rain, place)
    made = morphed(base, load_changes(changes_file))
    write_weather(made, out)
    click.echo(f"wrote {out}", err=True)
    _print_change(weather_statistics(base), weather_statistics(made), made)


def _print_change(before: dict[str, float], after: dict[str, float], made: xr.Dataset) -> None:
    rows = [
        [name.replace("_", " "), f"{before[name]:.1f}", f"{after[name]:.1f}"]
        for name in before
        if not name.startswith("airfield") or name.split("_")[2] in ("N", "E", "S", "W", "SW")
    ]
    print_table("Base and future, per year", ["figure", "base>", "future>"], rows)
    if held := made.attrs["saturated_hours"]:
        click.echo(f"{held} hours would have gone beyond saturation and were held at it.")
