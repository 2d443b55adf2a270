"""Hourly means in a result dataset: fluxes, sources and the air on both sides."""

from __future__ import annotations

from hygro.variables.variable import Variable


def _hourly(
    name: str, symbol: str, units: str, long_name: str, location: str, standard_name: str | None = None
) -> Variable:
    return Variable(name, symbol, units, standard_name, long_name, ("time",), "time: mean", location)


HOURLY_MEANS = (
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
