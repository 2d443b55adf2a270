"""`hygro site`: what is in a weather file, and how wet it makes each elevation."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from hygro.cli.options import json_option
from hygro.cli.output import counted, print_json, print_table
from hygro.cli.weather_options import site_of, site_options

if TYPE_CHECKING:
    from hygro.climate.finding import Finding
    from hygro.climate.options import ReadOptions
    from hygro.climate.overview import Overview


def _reading_options(command: Any) -> Any:
    """Add all that may have to be said about a weather file."""
    for option in (
        click.option(
            "--grid",
            type=click.Choice(["nearest", "bilinear"]),
            default="nearest",
            show_default=True,
            help="How to take the place out of gridded data.",
        ),
        click.option(
            "--fill-hours",
            type=int,
            default=3,
            show_default=True,
            help="Longest gap to fill, up to 24 h; rain is never filled.",
        ),
        click.option(
            "--wind-terrain",
            default="II",
            show_default=True,
            help="Terrain around the anemometer, I to IV of ISO 15927-3.",
        ),
        click.option(
            "--wind-height-m",
            type=float,
            default=10.0,
            show_default=True,
            help="Height of the anemometer above ground.",
        ),
        click.option(
            "--years", type=(int, int), metavar="FIRST LAST", help="Take these calendar years only."
        ),
        click.option(
            "--missing", multiple=True, metavar="CODE", help="Cell that means missing; may be repeated."
        ),
        click.option(
            "--column",
            "columns",
            multiple=True,
            metavar="NAME=COLUMN",
            help="Column of a table, such as wind_speed_knots=ws; may be repeated.",
        ),
        click.option(
            "--time-zone", metavar="NAME", help="Where stamps follow daylight saving, such as Europe/London."
        ),
        click.option(
            "--utc-offset-h", type=float, help="Standard time of the stamps less UTC, such as 1 or -5."
        ),
        click.option(
            "--place",
            type=(float, float, float),
            metavar="LATITUDE LONGITUDE ALTITUDE",
            help="Where the file does not say: degrees north, degrees east, metres.",
        ),
        click.option("--yearly-rain-mm", type=float, help="What the rain of a year should add up to."),
        click.option(
            "--rain", metavar="FILE", help='Hourly rain (.csv), or "none" to do without rain on purpose.'
        ),
    ):
        command = option(command)
    return command


@click.command("site")
@click.argument("files", metavar="WEATHER...", nargs=-1, required=True, type=click.Path(path_type=Path))
@_reading_options
@site_options
@click.option(
    "--out",
    metavar="DIRECTORY",
    type=click.Path(path_type=Path, file_okay=False),
    help="Where site.html and site.csv go; default results/site-<name of the file>.",
)
@click.option(
    "--prepared",
    metavar="FILE",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the record, checked and completed, as .csv for case files; one that is there is replaced.",
)
@json_option
def command(
    files: tuple[Path, ...],
    rain: str | None,
    yearly_rain_mm: float | None,
    out: Path | None,
    prepared: Path | None,
    as_json: bool,
    **rest: Any,
) -> None:
    """Look into a weather file: findings, months, wind when it rains, driving rain on each elevation.

    Lists gaps, stuck sensors, impossible values and what had to be modelled, and writes a site sheet (HTML
    and CSV). A record that can't be used is refused with the reason after its findings, with exit code 3.

    \b
    Examples:
      hygro site climate/exposed-coast.csv --terrain I
      hygro site weather-2018.csv rain-2018.csv radiation-2018.csv --prepared heath-2018.csv
    """  # noqa: D301
    from hygro.climate.csv_writer import write_weather
    from hygro.climate.weather import inspect_weather
    from hygro.report.site_sheet import write_site_sheet

    options, site = _split(rest)
    found = inspect_weather(list(files), options, rain=rain, yearly_rain=yearly_rain_mm)
    if found.weather is None:
        assert found.refusal is not None
        if as_json:
            print_json({"findings": [f.to_dict() for f in found.findings], "refused": True})
        else:
            if found.findings[:-1]:
                _print_findings(found.findings[:-1])
        raise found.refusal
    directory = out or Path("results") / f"site-{files[0].stem}"
    sheet, table, shown = write_site_sheet(found.weather, site_of(**site), directory)
    if prepared is not None:
        click.echo(f"wrote {write_weather(found.weather, prepared)}", err=True)
    if as_json:
        print_json(_as_data(shown, sheet, table))
        return
    _print_findings(found.findings)
    _print_overview(shown)
    click.echo(f"{sheet}\n{table}")


def _split(values: dict[str, Any]) -> tuple[ReadOptions, dict[str, Any]]:
    """Part the options into those of reading and those of the site."""
    from hygro.climate.options import ReadOptions

    columns = {}
    for text in values.pop("columns"):
        known, equals, name = text.partition("=")
        if not equals:
            raise click.BadParameter(f"{text!r} is not NAME=COLUMN", param_hint="--column")
        columns[known.strip()] = name.strip()
    options = ReadOptions(
        columns=columns,
        location=values.pop("place"),
        utc_offset_hours=values.pop("utc_offset_h"),
        time_zone=values.pop("time_zone"),
        missing=values.pop("missing"),
        years=values.pop("years"),
        wind_height=values.pop("wind_height_m"),
        wind_terrain=values.pop("wind_terrain"),
        fill_hours=values.pop("fill_hours"),
        grid=values.pop("grid"),
    )
    return options, values


def _print_findings(findings: tuple[Finding, ...]) -> None:
    if not findings:
        click.echo("Nothing odd was found.\n")
        return
    rows = [[f.state, f.text, str(f.count) if f.count else "", ", ".join(f.times)] for f in findings]
    print_table("What was found", ["state", "finding", "hours>", "first of them"], rows)


def _print_overview(shown: Overview) -> None:
    figures = shown.figures
    parts = [
        f"{figures['mean_air_temperature_C']:.1f} degC",
        f"{figures['mean_relative_humidity_percent']:.0f} % RH",
        f"wind {figures['mean_wind_speed_m_s']:.1f} m/s",
        f"rain {figures['rain_mm']:.0f} mm a year in {figures['wet_hours']:.0f} wet hours",
        f"sun {figures['solar_global_kWh_m2']:.0f} kWh/(m2 a)",
    ]
    click.echo(", ".join(parts) + "\n")
    rows = [
        [
            row.name,
            f"{row.airfield_index:.0f}",
            f"{row.wall_index:.0f}",
            f"{row.wall_spell:.0f}",
            row.category,
        ]
        for row in shown.elevations
    ]
    if rows:
        heads = ["facing", "in the open l/(m2 a)>", "on the wall l/(m2 a)>", "wall spell l/m2>", "exposure"]
        print_table("Driving rain", heads, rows)
        from hygro.climate.exposure import YEARS_FOR_PERCENTILE

        if shown.years < YEARS_FOR_PERCENTILE:
            click.echo(
                f"The record holds {counted(round(shown.years), 'year')}: exposure by spell needs "
                f"{YEARS_FOR_PERCENTILE} or more, so take it as a hint."
            )


def _as_data(shown: Overview, sheet: Path, table: Path) -> dict[str, Any]:
    from dataclasses import asdict

    return {
        "refused": False,
        "findings": [finding.to_dict() for finding in shown.findings],
        "year": shown.figures,
        "months": [asdict(month) for month in shown.months],
        "wind_when_raining": [asdict(sector) for sector in shown.rose],
        "elevations": [row.to_dict() for row in shown.elevations],
        "sheet": str(sheet),
        "table": str(table),
    }
