"""Names of columns that tables may have: the unit stands in the name."""

from __future__ import annotations

from typing import Final

import numpy as np

from hygro.climate.record import QUANTITIES
from hygro.constants import ZERO_CELSIUS
from hygro.physics.typing import FloatArray

COLUMNS: Final[dict[str, tuple[str, float, float]]] = {
    "air_temperature_C": ("air_temperature", 1.0, 0.0),
    "air_temperature_K": ("air_temperature", 1.0, -ZERO_CELSIUS),
    "air_temperature_F": ("air_temperature", 5.0 / 9.0, -160.0 / 9.0),
    "relative_humidity_percent": ("relative_humidity", 0.01, 0.0),
    "relative_humidity": ("relative_humidity", 1.0, 0.0),
    "dew_point_C": ("dew_point", 1.0, 0.0),
    "dew_point_K": ("dew_point", 1.0, -ZERO_CELSIUS),
    "dew_point_F": ("dew_point", 5.0 / 9.0, -160.0 / 9.0),
    "air_pressure_Pa": ("air_pressure", 1.0, 0.0),
    "air_pressure_hPa": ("air_pressure", 100.0, 0.0),
    "air_pressure_kPa": ("air_pressure", 1000.0, 0.0),
    "pressure_sea_level_Pa": ("pressure_sea_level", 1.0, 0.0),
    "pressure_sea_level_hPa": ("pressure_sea_level", 100.0, 0.0),
    "wind_speed_m_s": ("wind_speed", 1.0, 0.0),
    "wind_speed_km_h": ("wind_speed", 1.0 / 3.6, 0.0),
    "wind_speed_knots": ("wind_speed", 1852.0 / 3600.0, 0.0),
    "wind_speed_mph": ("wind_speed", 1609.344 / 3600.0, 0.0),
    "wind_direction_deg": ("wind_direction", 1.0, 0.0),
    "rain_mm": ("rain", 1.0, 0.0),
    "rain_tenths_mm": ("rain", 0.1, 0.0),
    "rain_m": ("rain", 1000.0, 0.0),
    "rain_inches": ("rain", 25.4, 0.0),
    "solar_global_W_m2": ("solar_global", 1.0, 0.0),
    "solar_global_kJ_m2": ("solar_global", 1.0 / 3.6, 0.0),
    "solar_global_MJ_m2": ("solar_global", 1000.0 / 3.6, 0.0),
    "solar_global_J_cm2": ("solar_global", 10.0 / 3.6, 0.0),
    "solar_direct_normal_W_m2": ("solar_direct_normal", 1.0, 0.0),
    "solar_diffuse_W_m2": ("solar_diffuse", 1.0, 0.0),
    "solar_diffuse_kJ_m2": ("solar_diffuse", 1.0 / 3.6, 0.0),
    "solar_diffuse_J_cm2": ("solar_diffuse", 10.0 / 3.6, 0.0),
    "longwave_sky_W_m2": ("longwave_sky", 1.0, 0.0),
    "longwave_sky_kJ_m2": ("longwave_sky", 1.0 / 3.6, 0.0),
    "cloud_okta": ("cloud", 1.25, 0.0),
    "cloud_tenths": ("cloud", 1.0, 0.0),
    "cloud_percent": ("cloud", 0.1, 0.0),
}
"""Known columns: (variable, scale, offset) from the unit in the name to the canonical one. Energies are those
of the hour."""

TIMES: Final = (
    "hour_ending_utc",
    "hour_beginning_utc",
    "hour_ending",
    "hour_beginning",
    "hour_ending_local",
    "hour_beginning_local",
)
"""Known time columns. `_utc` is UTC; those without are standard time, `utc_offset_hours` ahead of UTC;
`_local` follows daylight saving in `time_zone`."""

SHORT_NAMES: Final[dict[str, str]] = {
    "T_C": "air_temperature_C",
    "Td_C": "dew_point_C",
    "RH_pct": "relative_humidity_percent",
    "pmsl_Pa": "pressure_sea_level_Pa",
    "GHI_Wm2": "solar_global_W_m2",
    "wdir_deg": "wind_direction_deg",
    "wspd_ms": "wind_speed_m_s",
}
"""Short names that station extracts use, taken where a column map is not given."""

CODES: Final = (-99999.0, -9999.0, -9900.0, -999.9, -999.0, -99.9, -99.0, 999.0, 9999.0, 99999.0)
"""Numbers that stand for a missing value in common formats; common practice."""


def fitting_units(name: str, values: FloatArray) -> list[str]:
    """Return the columns whose unit would bring all values within limits.

    Parameters
    ----------
    name : str
        Variable, as in `QUANTITIES`.
    values : array
        As taken for the canonical unit.

    Returns
    -------
    list of str
        Known columns of the same variable; empty where none fits.
    """
    limits = QUANTITIES[name]
    known = values[np.isfinite(values)]
    fitting = []
    for column, (variable, scale, offset) in COLUMNS.items():
        if variable != name or (scale, offset) == (1.0, 0.0):
            continue
        converted = known * scale + offset
        if ((converted >= limits.clip_low) & (converted <= limits.clip_high)).all():
            fitting.append(column)
    return fitting
