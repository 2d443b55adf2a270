"""Wind as measured to wind at 10 m above open country, which the canonical dataset holds."""

from __future__ import annotations

from typing import Final

from hygro.climate.finding import Finding
from hygro.climate.record import Record
from hygro.physics.rain import TERRAINS, roughness_coefficient

OPEN: Final = "II"
"""Terrain of an airfield: open country with scattered obstacles."""


def open_country_factor(height: float, terrain: str) -> float:
    """Wind at 10 m above open country, relative to the wind at an anemometer.

    Parameters
    ----------
    height : float
        Of the anemometer above ground [m].
    terrain : {"I", "II", "III", "IV"}
        Around the anemometer.

    Returns
    -------
    float
        [1]; 1 for 10 m in terrain II.

    References
    ----------
    Roughness coefficient of ISO 15927-3, K_R ln(z / z_0), read second-hand: the wind over both terrains comes
    from the same wind aloft. Below the least height of a terrain the profile is constant, so a low anemometer
    in a town is corrected too little.
    """
    return roughness_coefficient(10.0, TERRAINS[OPEN]) / roughness_coefficient(height, TERRAINS[terrain])


def corrected_wind(record: Record, height: float, terrain: str) -> Record:
    """Return the record with the wind at 10 m above open country, and a finding that says so.

    Parameters
    ----------
    record : Record
        With wind as measured.
    height : float
        Of the anemometer [m].
    terrain : {"I", "II", "III", "IV"}
        Around the anemometer.
    """
    factor = open_country_factor(height, terrain)
    if factor == 1.0 or "wind_speed" not in record.values:
        return record
    wind = record.values["wind_speed"] * factor
    said = Finding(
        "wind correction",
        "wind_speed",
        "changed",
        len(wind),
        (),
        f"Wind at {height:g} m in terrain {terrain} taken to 10 m in open country: times {factor:.3f} "
        "(roughness coefficients of ISO 15927-3).",
    )
    return record.with_values(wind_speed=wind).with_findings(said)
