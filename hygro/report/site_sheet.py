"""The site sheet: one HTML file, and its figures as CSV."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from hygro.climate.exposure import YEARS_FOR_PERCENTILE
from hygro.climate.overview import Overview, overview
from hygro.climate.site import SiteFactors
from hygro.constants import HOURS_PER_YEAR
from hygro.decide.words import MONTHS
from hygro.report.figures import picture
from hygro.report.plots.weather import elevations_plot, months_plot, rain_rose
from hygro.report.words import capital, number
from hygro.report.write import render
from hygro.whole_files import write_text

if TYPE_CHECKING:
    import xarray as xr

    from hygro.climate.finding import Finding

SHEET: Final = "site.html"
TABLE: Final = "site.csv"

_WORDS: Final = {
    "refused": ("exceeded", "refused"),
    "doubtful": ("marginal", "doubtful"),
    "changed": ("within", "changed"),
    "modelled": ("information", "modelled"),
    "noted": ("information", "noted"),
}


_PLAIN: Final = {
    "relative_humidity": "humidity",
    "air_pressure": "air pressure",
    "solar_direct_normal": "direct sun",
    "solar_diffuse": "diffuse sun",
    "longwave_sky": "long-wave from the sky",
}


def write_site_sheet(
    weather: xr.Dataset, site: SiteFactors, out_dir: Path | str
) -> tuple[Path, Path, Overview]:
    """Write the site sheet of a weather record.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`.
    site : SiteFactors
        Of the wall.
    out_dir : Path or str
        Where site.html and site.csv go; those that are there are replaced.

    Returns
    -------
    (Path, Path, Overview)
        The sheet, the table and the figures in both. The same record gives the same files.

    Raises
    ------
    ResultError
        Where they cannot be written.
    """
    shown = overview(weather, site)
    page = render(sheet_content(weather, site, shown), "site.html.j2")
    directory = Path(out_dir)
    sheet = write_text(directory / SHEET, page)
    return sheet, write_text(directory / TABLE, table_text(shown)), shown


def sheet_content(weather: xr.Dataset, site: SiteFactors, shown: Overview) -> dict[str, Any]:
    """Return what the template shows.

    Parameters
    ----------
    weather : xarray.Dataset
        The record.
    site : SiteFactors
        Of the wall.
    shown : Overview
        Its figures.
    """
    attrs = weather.attrs
    wettest = max(shown.elevations, key=lambda row: row.wall_index, default=None)
    content: dict[str, Any] = {
        "title": capital(str(attrs.get("name") or attrs["file"])),
        "subtitle": f"{_place(attrs)}; {_span(weather)}. {attrs.get('source', '')}".strip(),
        "headline": f"{wettest.name} is the wettest elevation" if wettest else "A record without rain",
        "lead": _lead(shown, site),
        "cards": _cards(shown),
        "elevations": _elevation_rows(shown),
        "months": picture("months", "Temperature and rain", _month_caption(shown), _months_of(shown)),
        "table": [{"name": MONTHS[m.month - 1], "cells": _month_cells(m)} for m in shown.months],
        "findings": [_finding_row(entry) for entry in _by_weight(shown.findings)],
        "facts": _facts(attrs, site),
    }
    if shown.elevations:
        content |= {
            "rain": picture(
                "rain",
                "Yearly driving rain",
                "Wide bars: rain through a vertical plane in the open; narrow bars and figures: on the wall, "
                "before splash.",
                lambda width: elevations_plot(shown, width),
            ),
            "rain_note": _rain_note(shown, site),
            "rose": picture(
                "rose",
                "Driving rain by the direction the wind comes from",
                "Rain through a plane that always faces the wind, l/(m² a), in sixteen directions.",
                lambda width: rain_rose(shown, width),
            ),
            "sectors": [
                {
                    "name": s.name,
                    "hours": f"{s.wet_hours:.0f}",
                    "rain": f"{s.rain:.0f}",
                    "wind": f"{s.wind_speed:.1f}" if s.wet_hours else "–",
                    "driving": f"{s.driving:.0f}",
                }
                for s in shown.rose
            ],
            "rose_note": f"Wet hours: at least 0.1 mm. {shown.undirected:.0f} mm a year fall while it is "
            "calm or the direction is unknown, and drive nowhere.",
        }
    return content


def _place(attrs: dict[str, Any]) -> str:
    north, east = float(attrs["latitude"]), float(attrs["longitude"])
    latitude = f"{abs(north):.4g}° {'S' if north < 0.0 else 'N'}"
    longitude = f"{abs(east):.4g}° {'W' if east < 0.0 else 'E'}"
    return f"{latitude}, {longitude}, {attrs['altitude']:.0f} m above the sea"


def _months_of(shown: Overview) -> Any:
    return lambda width: months_plot(shown, width)


def _span(weather: xr.Dataset) -> str:
    years = weather.sizes["time"] / HOURS_PER_YEAR
    first = str(weather["time"].to_numpy()[0].astype("datetime64[D]"))
    count = "one year" if round(years) == 1 else f"{years:.0f} years"
    return f"{count} of hours from {first}"


def _lead(shown: Overview, site: SiteFactors) -> list[str]:
    texts = []
    if shown.elevations:
        rows = sorted(shown.elevations, key=lambda row: row.wall_index)
        wet, dry = rows[-1], rows[0]
        times = (
            f", {wet.wall_index / dry.wall_index:.0f} times as much as {dry.name}" if dry.wall_index else ""
        )
        texts.append(
            f"A wall facing {wet.name} gets {wet.wall_index:.0f} l/m² of driving rain a year{times}; by its "
            f"worst spell its exposure is {wet.category}."
        )
    else:
        texts.append("Rain was left out on purpose: nothing here says how wet a wall gets.")
    doubtful = sum(entry.state == "doubtful" for entry in shown.findings)
    modelled = [
        _PLAIN.get(entry.quantity, entry.quantity) for entry in shown.findings if entry.state == "modelled"
    ]
    if doubtful:
        things = "One thing" if doubtful == 1 else f"{doubtful} things"
        texts.append(
            f"{things} in the record should be looked at before it is relied on; they are listed below."
        )
    else:
        texts.append("Nothing in the record looks wrong.")
    if modelled:
        texts.append(f"Not measured but worked out: {', '.join(modelled)}.")
    texts.append(
        f"The wall: {site.height:g} m above ground in terrain {site.terrain}. Terrain, topography, obstacles "
        f"and kind of wall let it have {100.0 * site.rain_factor:.0f} % of the driving rain in the open "
        f"(C_R·C_T·O·W = {site.rain_factor:.2f}, ISO 15927-3)."
    )
    return texts


def _cards(shown: Overview) -> list[dict[str, str]]:
    figures = shown.figures
    coldest, warmest = (number(figures[f"{which}_air_temperature_C"], 1) for which in ("least", "greatest"))
    cards = [
        (
            "Mean temperature",
            number(figures["mean_air_temperature_C"], 1),
            "°C",
            f"{coldest} to {warmest} °C",
        ),
        (
            "Mean humidity",
            f"{figures['mean_relative_humidity_percent']:.0f}",
            "%",
            "relative humidity outdoors",
        ),
        ("Mean wind", f"{figures['mean_wind_speed_m_s']:.1f}", "m/s", "at 10 m in open country"),
        ("Sun", f"{figures['solar_global_kWh_m2']:.0f}", "kWh/m²", "a year, global, on the horizontal"),
    ]
    if shown.elevations:
        rain = (
            "Rain",
            f"{figures['rain_mm']:.0f}",
            "mm",
            f"a year on the ground, in {figures['wet_hours']:.0f} wet hours",
        )
        cards.insert(0, rain)
    return [dict(zip(("name", "value", "unit", "note"), card, strict=True)) for card in cards]


def _elevation_rows(shown: Overview) -> list[dict[str, str]]:
    return [
        {
            "name": row.name,
            "airfield": f"{row.airfield_index:.0f}",
            "wall": f"{row.wall_index:.0f}",
            "spell": f"{row.wall_spell:.0f}",
            "worst": f"{row.worst_spell:.0f}",
            "when": row.worst_begin[:10] or "–",
            "category": row.category,
        }
        for row in shown.elevations
    ]


def _rain_note(shown: Overview, site: SiteFactors) -> str:
    held = "one year" if shown.years < 1.5 else f"{shown.years:.0f} years"
    short = (
        f" The record holds {held}: a spell once in three years needs {YEARS_FOR_PERCENTILE} and more, so "
        "take the exposure as a hint."
        if shown.years < YEARS_FOR_PERCENTILE
        else ""
    )
    return (
        f"On the wall: times C_R·C_T·O·W = {site.rain_factor:.3f}, before splash. 1 l/m² is 1 mm of rain on "
        f"the wall. A spell ends with 96 hours without driving rain.{short}"
    )


def _month_caption(shown: Overview) -> str:
    over = "the year" if shown.years < 1.5 else f"{shown.years:.0f} years"
    return f"Means and sums of each month over {over}; the band spans the daily means of the temperature."


def _month_cells(month: Any) -> list[str]:
    return [
        number(month.air_temperature, 1),
        number(month.coldest_day, 1),
        number(month.warmest_day, 1),
        f"{month.relative_humidity:.0f}",
        f"{month.wind_speed:.1f}",
        f"{month.rain:.0f}",
        f"{month.wet_hours:.0f}",
        f"{month.solar_global:.0f}",
        f"{month.longwave_sky:.0f}",
    ]


def _by_weight(findings: tuple[Finding, ...]) -> list[Finding]:
    order = list(_WORDS)
    return sorted(findings, key=lambda entry: order.index(entry.state))


def _finding_row(entry: Finding) -> dict[str, str]:
    css, word = _WORDS[entry.state]
    return {
        "css": css,
        "word": word,
        "text": entry.text,
        "times": ", ".join(entry.times),
        "count": str(entry.count) if entry.count else "",
    }


def _facts(attrs: dict[str, Any], site: SiteFactors) -> list[tuple[str, str]]:
    return [
        ("Files", str(attrs["file"])),
        ("sha256", str(attrs["sha256"])),
        ("Source", str(attrs.get("source") or "not stated")),
        ("Standard time", f"UTC {attrs['utc_offset_hours']:+g} h"),
        ("29 February", str(attrs.get("leap_policy", ""))),
        ("Columns not used", str(attrs.get("ignored_columns") or "none")),
        (
            "Site factors",
            f"terrain {site.terrain} (C_R {site.roughness:.3f}), C_T {site.topography:g}, "
            f"O {site.obstruction:g}, W {site.wall_factor:g}",
        ),
    ]


def table_text(shown: Overview) -> str:
    """Return all figures as a table: part, name, quantity, unit, value.

    Parameters
    ----------
    shown : Overview
        The figures.

    Returns
    -------
    str
        CSV with a header row.
    """
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(("part", "name", "quantity", "unit", "value"))
    for key, value in shown.figures.items():
        writer.writerow(("year", "", key, "", f"{value:.7g}"))
    for month in shown.months:
        for quantity, unit in _MONTH_UNITS.items():
            writer.writerow(("month", month.month, quantity, unit, f"{getattr(month, quantity):.7g}"))
    for sector in shown.rose:
        for quantity, unit in _SECTOR_UNITS.items():
            writer.writerow(("wind from", sector.name, quantity, unit, f"{getattr(sector, quantity):.7g}"))
    for row in shown.elevations:
        for quantity, unit in _ELEVATION_UNITS.items():
            writer.writerow(("elevation", row.name, quantity, unit, f"{getattr(row, quantity):.7g}"))
        writer.writerow(("elevation", row.name, "exposure", "", row.category))
    for entry in shown.findings:
        writer.writerow(("finding", entry.state, f"{entry.kind}: {entry.quantity}", "h", entry.count))
    return buffer.getvalue()


_MONTH_UNITS: Final = {
    "air_temperature": "degC",
    "coldest_day": "degC",
    "warmest_day": "degC",
    "relative_humidity": "%",
    "wind_speed": "m/s",
    "rain": "mm",
    "wet_hours": "h",
    "solar_global": "kWh/m2",
    "longwave_sky": "W/m2",
}
_SECTOR_UNITS: Final = {"wet_hours": "h/a", "rain": "mm/a", "driving": "l/(m2 a)", "wind_speed": "m/s"}
_ELEVATION_UNITS: Final = {
    "airfield_index": "l/(m2 a)",
    "wall_index": "l/(m2 a)",
    "airfield_spell": "l/m2",
    "wall_spell": "l/m2",
    "wall_spell_10": "l/m2",
    "worst_spell": "l/m2",
}
