"""Plain CSV with named columns to a `Record`. The unit stands in the column name."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hygro.climate.checks import HOUR
from hygro.climate.record import Record
from hygro.climate.table import TextTable, read_table
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

COLUMNS: Final[dict[str, tuple[str, float, float]]] = {
    "air_temperature_C": ("air_temperature", 1.0, 0.0),
    "air_temperature_K": ("air_temperature", 1.0, -273.15),
    "relative_humidity_percent": ("relative_humidity", 0.01, 0.0),
    "relative_humidity": ("relative_humidity", 1.0, 0.0),
    "dew_point_C": ("dew_point", 1.0, 0.0),
    "dew_point_K": ("dew_point", 1.0, -273.15),
    "air_pressure_Pa": ("air_pressure", 1.0, 0.0),
    "air_pressure_hPa": ("air_pressure", 100.0, 0.0),
    "pressure_sea_level_Pa": ("pressure_sea_level", 1.0, 0.0),
    "pressure_sea_level_hPa": ("pressure_sea_level", 100.0, 0.0),
    "wind_speed_m_s": ("wind_speed", 1.0, 0.0),
    "wind_speed_km_h": ("wind_speed", 1.0 / 3.6, 0.0),
    "wind_speed_knots": ("wind_speed", 1852.0 / 3600.0, 0.0),
    "wind_direction_deg": ("wind_direction", 1.0, 0.0),
    "rain_mm": ("rain", 1.0, 0.0),
    "rain_tenths_mm": ("rain", 0.1, 0.0),
    "rain_m": ("rain", 1000.0, 0.0),
    "solar_global_W_m2": ("solar_global", 1.0, 0.0),
    "solar_global_kJ_m2": ("solar_global", 1.0 / 3.6, 0.0),
    "solar_direct_normal_W_m2": ("solar_direct_normal", 1.0, 0.0),
    "solar_diffuse_W_m2": ("solar_diffuse", 1.0, 0.0),
    "longwave_sky_W_m2": ("longwave_sky", 1.0, 0.0),
    "cloud_okta": ("cloud", 1.25, 0.0),
    "cloud_tenths": ("cloud", 1.0, 0.0),
    "cloud_percent": ("cloud", 0.1, 0.0),
}
"""Known columns: (variable, scale, offset) from the unit in the name to the canonical one."""

TIMES: Final = ("hour_ending_utc", "hour_beginning_utc", "hour_ending", "hour_beginning")
"""Known time columns; those without `_utc` are standard time, `utc_offset_hours` ahead of UTC."""

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


def read_csv(
    path: Path,
    *,
    columns: Mapping[str, str] | None = None,
    location: tuple[float, float, float] | None = None,
    utc_offset_hours: float | None = None,
) -> Record:
    """Read an hourly weather CSV.

    Parameters
    ----------
    path : Path
        The file; `# latitude:`, `# longitude:`, `# altitude:` comments before the header say where it is.
    columns : mapping, optional
        Known column name (see `COLUMNS`, `TIMES`) to the file's own name.
    location : (float, float, float), optional
        Latitude [degrees north], longitude [degrees east], altitude [m]; stands over the comments.
    utc_offset_hours : float, optional
        Standard time of the file less UTC [h]; stands over a `# utc_offset_hours:` comment.

    Returns
    -------
    Record
        In canonical units, unchecked.

    Raises
    ------
    ClimateError
        Where time, place or a column can't be made out.
    """
    table = read_table(path)
    names = _column_names(table, columns)
    begin, offset = _begin(table, names, utc_offset_hours)
    values: dict[str, FloatArray] = {}
    for known, name in names.items():
        if known in TIMES:
            continue
        variable, scale, shift = COLUMNS[known]
        if variable in values:
            raise ClimateError(f"two columns give {variable}", where=str(path), found=known)
        column = table.numbers(name)
        if known == "cloud_okta":
            column = np.where(column == 9.0, 8.0, column)  # 9: sky obscured, by fog for one
        if not np.isnan(column).all():
            values[variable] = column * scale + shift
    latitude, longitude, altitude = location or _location(table)
    ignored = sorted(set(table.columns) - set(names.values()))
    attrs = {"ignored_columns": ", ".join(ignored), "source": table.comments.get("source", "")}
    attrs["name"] = table.comments.get("name", path.stem)
    lines = np.array(table.lines, dtype=np.int64)
    return Record(path, begin, lines, values, latitude, longitude, altitude, offset, attrs)


def _column_names(table: TextTable, columns: Mapping[str, str] | None) -> dict[str, str]:
    """Return known name to the file's name; near misses of known names are refused, other columns ignored."""
    known = {*COLUMNS, *TIMES}
    names: dict[str, str] = {}
    for key, name in (columns or {}).items():
        if key not in known:
            near = difflib.get_close_matches(key, sorted(known), n=1)
            raise ClimateError(
                "the column map names an unknown quantity",
                where=str(table.path),
                found=key,
                expected="one of " + ", ".join(sorted(known)),
                hint=f"did you mean {near[0]}?" if near else None,
            )
        if name not in table.columns:
            raise ClimateError(
                f"there is no column {name!r}", where=str(table.path), expected=", ".join(table.columns)
            )
        names[key] = name
    for name in table.columns:
        key = SHORT_NAMES.get(name, name)
        if name in names.values():
            continue
        if key in known:
            names.setdefault(key, name)
        else:
            near = difflib.get_close_matches(name, sorted(known), n=1, cutoff=0.85)
            if near:
                raise ClimateError(
                    "a column is not known",
                    where=str(table.path),
                    found=name,
                    hint=f"did you mean {near[0]}?",
                )
    return names


def _begin(
    table: TextTable, names: Mapping[str, str], utc_offset_hours: float | None
) -> tuple[NDArray[np.datetime64], float]:
    present = [name for name in TIMES if name in names]
    if len(present) != 1:
        raise ClimateError(
            "the time column is not clear",
            where=str(table.path),
            found=", ".join(present) or "none",
            expected="one of " + ", ".join(TIMES),
        )
    key = present[0]
    times = table.times(names[key])
    begin = times - HOUR if key.startswith("hour_ending") else times
    if key.endswith("_utc"):
        return begin, 0.0
    text = table.comments.get("utc_offset_hours")
    if utc_offset_hours is None and text is None:
        raise ClimateError(
            "the times are not UTC and their time zone is not given",
            where=str(table.path),
            found=key,
            hint="give utc_offset_hours, or use hour_ending_utc",
        )
    if utc_offset_hours is not None:
        return begin, utc_offset_hours
    return begin, _comment_number(table, "utc_offset_hours")


def _location(table: TextTable) -> tuple[float, float, float]:
    latitude, longitude, altitude = (
        _comment_number(table, key) for key in ("latitude", "longitude", "altitude")
    )
    return latitude, longitude, altitude


def _comment_number(table: TextTable, key: str) -> float:
    text = table.comments.get(key)
    try:
        return float(text)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        raise ClimateError(
            f"the file does not say its {key}",
            where=str(table.path),
            found=text,
            expected=f"a comment line '# {key}: number' before the header",
            hint="or give the location beside the file name",
        ) from None
