"""Sums over a year in a result dataset, and what its balances miss."""

from __future__ import annotations

from hygro.variables.variable import Variable


def _yearly(
    name: str, symbol: str, units: str, long_name: str, location: str, method: str | None = "time: sum"
) -> Variable:
    return Variable(name, symbol, units, None, long_name, ("year",), method, location)


YEARS = (
    _yearly("year_hours", "", "h", "hours of the year that were simulated", "whole wall"),
    _yearly(
        "year_heat_loss",
        "Q",
        "kWh m-2",
        "net heat from the room into the wall on heating days, whose outdoor daily mean is below 15 degC",
        "internal surface",
    ),
    _yearly(
        "year_rain_on_wall", "", "kg m-2", "driving rain that hits the wall in the year", "external surface"
    ),
    _yearly("year_rain_uptake", "", "kg m-2", "rain taken up in the year", "external surface"),
    _yearly(
        "year_heat_from_sources",
        "",
        "kWh m-2",
        "heat given by sources within the wall in the year",
        "whole wall",
    ),
    _yearly(
        "year_water_from_sources",
        "",
        "kg m-2",
        "moisture given by sources within the wall in the year",
        "whole wall",
    ),
    _yearly(
        "year_moisture_change",
        "",
        "kg m-2",
        "water in the wall at the end less at the begin of the year",
        "whole wall",
    ),
    _yearly(
        "balance_heat",
        "",
        "1",
        "heat that the year's balance misses, relative to the heat exchanged",
        "whole wall",
        None,
    ),
    _yearly(
        "balance_moisture",
        "",
        "1",
        "moisture that the year's balance misses, relative to the moisture exchanged",
        "whole wall",
        None,
    ),
)
