"""One registry of what a result dataset holds: names, units, meaning. Metadata, checks and docs follow it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Variable:
    """One variable or coordinate of a result dataset.

    Parameters
    ----------
    name : str
        Name in the dataset.
    symbol : str
        Symbol of the trade, or empty.
    units : str or None
        UDUNITS text; None for labels and for time stamps, whose unit belongs to their encoding.
    standard_name : str or None
        Only where the CF standard name table has one that fits.
    long_name : str
        What it is, with the sign where there is one.
    dims : tuple of str
        Dimensions.
    cell_methods : str or None
        CF cell methods: how a value stands for its interval.
    location : str
        Where in the wall it holds.
    coordinate : bool
        Whether it labels a dimension rather than being computed.
    dtype : str
        Type in the dataset: "f8", "f4", "i4", "i1", "str" or "time".
    flags : tuple of str
        Meaning of 0, 1, ... where the values are flags.
    """

    name: str
    symbol: str
    units: str | None
    standard_name: str | None
    long_name: str
    dims: tuple[str, ...]
    cell_methods: str | None
    location: str
    coordinate: bool = False
    dtype: str = "f8"
    flags: tuple[str, ...] = ()

    def attributes(self) -> dict[str, str]:
        """Return the CF attributes that are text, for writing on the variable."""
        parts = {
            "units": self.units,
            "standard_name": self.standard_name,
            "long_name": self.long_name,
            "cell_methods": self.cell_methods,
            "symbol": self.symbol or None,
            "location": self.location,
        }
        return {key: text for key, text in parts.items() if text is not None}


def _coordinate(
    name: str,
    symbol: str,
    units: str | None,
    long_name: str,
    dim: str,
    location: str,
    dtype: str = "f8",
    standard_name: str | None = None,
    flags: tuple[str, ...] = (),
) -> Variable:
    return Variable(name, symbol, units, standard_name, long_name, (dim,), None, location, True, dtype, flags)


def _hourly(
    name: str, symbol: str, units: str, long_name: str, location: str, standard_name: str | None = None
) -> Variable:
    return Variable(name, symbol, units, standard_name, long_name, ("time",), "time: mean", location)


def _yearly(
    name: str, symbol: str, units: str, long_name: str, location: str, method: str | None = "time: sum"
) -> Variable:
    return Variable(name, symbol, units, None, long_name, ("year",), method, location)


_NO_YES = ("no", "yes")

_COORDINATES = (
    _coordinate("time", "t", None, "end of the hour", "time", "whole wall", "time", "time"),
    Variable(
        "time_bounds",
        "",
        None,
        None,
        "begin and end of the hour",
        ("time", "bound"),
        None,
        "whole wall",
        True,
        "time",
    ),
    _coordinate(
        "field_time",
        "t",
        None,
        "time at which the whole profile was kept",
        "field_time",
        "whole wall",
        "time",
        "time",
    ),
    _coordinate(
        "depth", "x", "m", "distance of the cell centre from the external surface", "depth", "cell centre"
    ),
    _coordinate("depth_layer", "", "1", "index of the layer that the cell belongs to", "depth", "cell", "i4"),
    _coordinate("cell_size", "dx", "m", "size of the cell", "depth", "cell"),
    _coordinate("place", "", None, "label of the place", "place", "place", "str"),
    _coordinate(
        "place_kind",
        "",
        None,
        "external surface, interface, sealed core, internal surface or probe",
        "place",
        "place",
        "str",
    ),
    _coordinate("place_depth", "x", "m", "distance of the place from the external surface", "place", "place"),
    _coordinate("place_material_outer", "", None, "material on the outer side", "place", "place", "str"),
    _coordinate("place_material_inner", "", None, "material on the inner side", "place", "place", "str"),
    _coordinate(
        "place_sensitivity",
        "",
        None,
        "mould sensitivity class, the more sensitive of both sides",
        "place",
        "place",
        "str",
    ),
    _coordinate("place_decline", "", None, "mould decline class of that side", "place", "place", "str"),
    _coordinate(
        "place_timber",
        "",
        "1",
        "whether timber is embedded at the place",
        "place",
        "place",
        "i1",
        flags=_NO_YES,
    ),
    _coordinate("layer", "", None, "label of the layer, from outside to inside", "layer", "layer", "str"),
    _coordinate("layer_material", "", None, "material of the layer", "layer", "layer", "str"),
    _coordinate("layer_thickness", "d", "m", "thickness of the layer", "layer", "layer"),
    _coordinate(
        "layer_start",
        "x",
        "m",
        "distance of the layer's outer face from the external surface",
        "layer",
        "layer",
    ),
    _coordinate(
        "layer_conductivity", "lambda", "W m-1 K-1", "thermal conductivity when dry", "layer", "layer"
    ),
    _coordinate("layer_density", "rho", "kg m-3", "dry bulk density", "layer", "layer"),
    _coordinate(
        "layer_timber", "", "1", "whether the layer is timber", "layer", "layer", "i1", flags=_NO_YES
    ),
    _coordinate(
        "layer_added",
        "",
        "1",
        "whether the layer belongs to the build-up added to the old wall",
        "layer",
        "layer",
        "i1",
        flags=_NO_YES,
    ),
    _coordinate("year", "", "1", "simulated year, counted from 1", "year", "whole wall", "i4"),
)

_STATES = (
    Variable(
        "temperature", "T", "degC", None, "temperature at a place", ("time", "place"), "time: point", "place"
    ),
    Variable(
        "relative_humidity",
        "phi",
        "1",
        None,
        "relative humidity of the pore air at a place",
        ("time", "place"),
        "time: point",
        "place",
    ),
    Variable(
        "temperature_field",
        "T",
        "degC",
        None,
        "temperature profile",
        ("field_time", "depth"),
        "field_time: point",
        "cell",
        dtype="f4",
    ),
    Variable(
        "relative_humidity_field",
        "phi",
        "1",
        None,
        "relative humidity profile",
        ("field_time", "depth"),
        "field_time: point",
        "cell",
        dtype="f4",
    ),
    Variable(
        "water_content_field",
        "w",
        "kg m-3",
        None,
        "moisture content mass by volume",
        ("field_time", "depth"),
        "field_time: point",
        "cell",
        dtype="f4",
    ),
    Variable(
        "layer_water_content",
        "m",
        "kg m-2",
        None,
        "water in the layer per wall area",
        ("field_time", "layer"),
        "field_time: point",
        "layer",
    ),
)

_HOURLY = (
    _hourly(
        "heat_flux_internal",
        "q_i",
        "W m-2",
        "heat flux, positive from the room into the wall",
        "internal surface",
    ),
    _hourly(
        "heat_flux_external",
        "q_e",
        "W m-2",
        "heat flux, positive from the wall to outdoors",
        "external surface",
    ),
    _hourly(
        "vapour_flux_internal",
        "g_i",
        "kg m-2 s-1",
        "moisture flux, positive from the room into the wall",
        "internal surface",
    ),
    _hourly(
        "vapour_flux_external",
        "g_e",
        "kg m-2 s-1",
        "moisture flux without rain, positive from the wall to outdoors",
        "external surface",
    ),
    _hourly(
        "rain_on_wall",
        "R_wall",
        "kg m-2 s-1",
        "driving rain that hits the wall, before splash",
        "external surface",
    ),
    _hourly(
        "rain_uptake",
        "g_rain",
        "kg m-2 s-1",
        "rain taken up by the wall, positive into the wall",
        "external surface",
    ),
    _hourly(
        "heat_from_sources",
        "",
        "W m-2",
        "heat given by sources and passing air within the wall, that of their water included",
        "whole wall",
    ),
    _hourly(
        "water_from_sources",
        "",
        "kg m-2 s-1",
        "moisture given by sources, leaks, passing air and rain penetration within the wall",
        "whole wall",
    ),
    _hourly(
        "external_air_temperature", "T_e", "degC", "outdoor air temperature", "outdoors", "air_temperature"
    ),
    _hourly(
        "external_relative_humidity",
        "phi_e",
        "1",
        "relative humidity of the outdoor air",
        "outdoors",
        "relative_humidity",
    ),
    _hourly("internal_air_temperature", "T_i", "degC", "room air temperature", "room", "air_temperature"),
    _hourly(
        "internal_relative_humidity",
        "phi_i",
        "1",
        "relative humidity of the room air",
        "room",
        "relative_humidity",
    ),
)

_YEARLY = (
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

VARIABLES: Final[dict[str, Variable]] = {
    entry.name: entry for entry in (*_COORDINATES, *_STATES, *_HOURLY, *_YEARLY)
}
"""Every variable and coordinate of a result dataset by name."""


def markdown_table(coordinates: bool) -> str:
    """Return the registry as a table of docs/results.md.

    Parameters
    ----------
    coordinates : bool
        Coordinates, or else the variables that are computed.

    Returns
    -------
    str
        Markdown.
    """
    columns = ("name", "dimensions", "units", "what it is", "where", "over its interval")
    rows = [columns, ("---",) * len(columns)] + [
        (
            f"`{entry.name}`",
            ", ".join(entry.dims),
            entry.units or "-",
            entry.long_name,
            entry.location,
            entry.cell_methods or "-",
        )
        for entry in VARIABLES.values()
        if entry.coordinate is coordinates
    ]
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)
