"""The summary of one result: its places, heat, rain and balances."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hygro.cli.output import print_table

if TYPE_CHECKING:
    import xarray as xr


def summary_of(dataset: xr.Dataset) -> dict[str, Any]:
    """Condense a result.

    Parameters
    ----------
    dataset : xarray.Dataset
        Result of one variant.

    Returns
    -------
    dict
        JSON-able. "places": label, kind, depth_mm, and of the last year mean and largest relative humidity
        [%], mean and lowest temperature [degC]. "years": for each simulated year hours, heat loss [kWh/m2],
        rain on the wall, rain taken up and change of water [kg/m2], relative balance errors. "steady_year",
        "steps", "rejected", "seconds", "status".
    """
    from hygro.scores.access import last_year

    year = last_year(dataset.sizes["time"])
    humidity = 100.0 * dataset["relative_humidity"].values[year]
    temperature = dataset["temperature"].values[year]
    places = [
        {
            "place": str(label),
            "kind": str(dataset["place_kind"].values[column]),
            "depth_mm": 1000.0 * float(dataset["place_depth"].values[column]),
            "mean_RH_percent": float(humidity[:, column].mean()),
            "largest_RH_percent": float(humidity[:, column].max()),
            "mean_temperature_C": float(temperature[:, column].mean()),
            "lowest_temperature_C": float(temperature[:, column].min()),
        }
        for column, label in enumerate(dataset["place"].values)
    ]
    names = {
        "hours": "year_hours",
        "heat_loss_kWh_m2": "year_heat_loss",
        "rain_on_wall_kg_m2": "year_rain_on_wall",
        "rain_taken_up_kg_m2": "year_rain_uptake",
        "water_change_kg_m2": "year_moisture_change",
        "balance_heat": "balance_heat",
        "balance_moisture": "balance_moisture",
    }
    years = [
        {"year": index + 1} | {key: float(dataset[name].values[index]) for key, name in names.items()}
        for index in range(dataset.sizes["year"])
    ]
    attributes = dataset.attrs
    return {
        "title": str(attributes["title"]),
        "build_up": str(attributes["build_up"]),
        "thickness_mm": _number_or_none(attributes["thickness_mm"]),
        "elevation": str(attributes["elevation_name"]),
        "status": str(attributes["status"]),
        "steady_year": int(attributes["steady_year"]),
        "places": places,
        "years": years,
        "steps": int(attributes["steps"]),
        "rejected": int(attributes["rejected"]),
        "seconds": float(attributes["wall_seconds"]),
    }


def print_summary(summary: dict[str, Any]) -> None:
    """Print a summary as tables."""
    columns = ["place", "kind", "depth mm>", "mean RH %>", "largest RH %>", "mean degC>", "lowest degC>"]
    keys = ("depth_mm", "mean_RH_percent", "largest_RH_percent", "mean_temperature_C", "lowest_temperature_C")
    rows = [
        [place["place"], place["kind"], *(f"{place[key]:.1f}" for key in keys)] for place in summary["places"]
    ]
    print_table("Places, last year", columns, rows)
    columns = [
        "year",
        "hours>",
        "heat loss kWh/m2>",
        "rain on wall kg/m2>",
        "taken up kg/m2>",
        "change of water kg/m2>",
        "heat balance error>",
        "water balance error>",
    ]
    rows = [
        [
            str(year["year"]),
            f"{year['hours']:.0f}",
            f"{year['heat_loss_kWh_m2']:.1f}",
            f"{year['rain_on_wall_kg_m2']:.1f}",
            f"{year['rain_taken_up_kg_m2']:.1f}",
            f"{year['water_change_kg_m2']:+.3f}",
            f"{year['balance_heat']:.1e}",
            f"{year['balance_moisture']:.1e}",
        ]
        for year in summary["years"]
    ]
    print_table("Years", columns, rows)


def _number_or_none(value: Any) -> float | None:
    return None if value == "none" else float(value)
