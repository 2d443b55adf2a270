"""Hours of weather to hygro's own CSV, whole or not at all."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Final

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray
from hygro.whole_files import write_text

WRITTEN: Final[dict[str, tuple[str, float, int]]] = {
    "air_temperature_C": ("air_temperature", 1.0, 2),
    "relative_humidity_percent": ("relative_humidity", 100.0, 2),
    "air_pressure_Pa": ("air_pressure", 1.0, 0),
    "wind_speed_m_s": ("wind_speed", 1.0, 2),
    "wind_direction_deg": ("wind_direction", 1.0, 1),
    "rain_mm": ("rain", 1.0, 3),
    "solar_global_W_m2": ("solar_global", 1.0, 1),
    "solar_direct_normal_W_m2": ("solar_direct_normal", 1.0, 1),
    "solar_diffuse_W_m2": ("solar_diffuse", 1.0, 1),
    "longwave_sky_W_m2": ("longwave_sky", 1.0, 1),
}
"""Columns of a dataset in a file: (variable, scale, decimals)."""


def write_weather(weather: xr.Dataset, path: str | Path) -> Path:
    """Write a canonical dataset as CSV that `hygro.climate.load_weather` reads.

    Parameters
    ----------
    weather : xarray.Dataset
        Canonical, of whole years.
    path : str or Path
        Where to; an existing file is replaced.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    ClimateError
        Where it cannot be written or the suffix is not .csv.
    """
    path = Path(path)
    if path.suffix.lower() != ".csv":
        raise ClimateError("weather is written as .csv", found=path.name)
    attrs = weather.attrs
    comments = {
        "name": str(attrs.get("name", path.stem)),
        "source": str(attrs.get("source", "")),
        "modelled": str(attrs.get("modelled", "")),
        "latitude": f"{attrs['latitude']:.10g}",
        "longitude": f"{attrs['longitude']:.10g}",
        "altitude": f"{attrs['altitude']:.10g}",
    }
    columns = {name: scale * weather[key].to_numpy() for name, (key, scale, _) in WRITTEN.items()}
    digits = {name: decimals for name, (_, _, decimals) in WRITTEN.items()}
    end = weather["time"].to_numpy().astype("datetime64[m]")
    return write_weather_csv(path, comments, end, columns, digits)


def write_weather_csv(
    path: Path,
    comments: Mapping[str, str],
    end: NDArray[np.datetime64],
    columns: Mapping[str, FloatArray],
    digits: Mapping[str, int],
) -> Path:
    """Write columns as CSV.

    Parameters
    ----------
    path : Path
        Where to.
    comments : mapping
        Lines before the header; line breaks in them become blanks.
    end : array of datetime64[m], shape (hours,)
        End of each hour, UTC.
    columns : mapping of str to array, shape (hours,)
        By the names that the reader knows; NaN is left empty.
    digits : mapping
        Decimals by column; 0 where not named.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    ClimateError
        Where it cannot be written.
    """
    lines = [f"# {key}: {' '.join(text.split())}" for key, text in comments.items()]
    lines.append(",".join(("hour_ending_utc", *columns)))
    cells = [_cells(values, digits.get(name, 0)) for name, values in columns.items()]
    stamps = np.datetime_as_string(end, unit="m")
    lines += [
        ",".join((f"{stamp}Z", *row)) for stamp, row in zip(stamps, zip(*cells, strict=True), strict=True)
    ]
    return write_text(path, "\n".join(lines) + "\n", ClimateError)


def _cells(values: FloatArray, digits: int) -> list[str]:
    return ["" if value != value else f"{value + 0.0:.{digits}f}" for value in values.tolist()]
