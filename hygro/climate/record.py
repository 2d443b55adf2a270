"""What a reader hands over: rows as read, in canonical units, with the line each came from."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from hygro.climate.finding import Finding
from hygro.physics.typing import FloatArray


class Quantity(NamedTuple):
    """One canonical variable of a weather record.

    Attributes
    ----------
    units : str
        CF units.
    long_name : str
        What it is.
    standard_name : str
        CF standard name, or "" where there is none.
    low, high : float
        Values outside are impossible and refused.
    clip_low, clip_high : float
        Values outside `low`, `high` but within these are set to the bound and counted.
    """

    units: str
    long_name: str
    standard_name: str
    low: float
    high: float
    clip_low: float
    clip_high: float


def _plain(units: str, long_name: str, standard_name: str, low: float, high: float) -> Quantity:
    return Quantity(units, long_name, standard_name, low, high, low, high)


def _sun(long_name: str, standard_name: str, high: float) -> Quantity:
    return Quantity("W m-2", long_name, standard_name, 0.0, high, -0.5, high)


QUANTITIES: Final[dict[str, Quantity]] = {
    "air_temperature": _plain("degC", "air temperature", "air_temperature", -70.0, 60.0),
    "relative_humidity": Quantity("1", "relative humidity", "relative_humidity", 0.0, 1.0, 0.0, 1.02),
    "air_pressure": _plain("Pa", "air pressure at the site", "surface_air_pressure", 50e3, 110e3),
    "wind_speed": _plain("m s-1", "wind speed at 10 m, open terrain", "wind_speed", 0.0, 60.0),
    "wind_direction": _plain("degree", "direction the wind comes from", "wind_from_direction", 0.0, 360.0),
    "rain": Quantity("mm", "rain in the hour", "", 0.0, 305.0, -0.5, 305.0),
    "solar_global": _sun("global sun on the horizontal", "surface_downwelling_shortwave_flux_in_air", 1500.0),
    "solar_direct_normal": _sun(
        "direct sun normal to its rays", "direct_downwelling_shortwave_flux_in_air", 1420.0
    ),
    "solar_diffuse": _sun(
        "diffuse sun on the horizontal", "surface_diffuse_downwelling_shortwave_flux_in_air", 1100.0
    ),
    "longwave_sky": _plain(
        "W m-2",
        "long-wave radiation from the sky on the horizontal",
        "surface_downwelling_longwave_flux_in_air",
        50.0,
        600.0,
    ),
    "dew_point": _plain("degC", "dew point", "dew_point_temperature", -80.0, 40.0),
    "pressure_sea_level": _plain(
        "Pa", "air pressure reduced to sea level", "air_pressure_at_mean_sea_level", 85e3, 110e3
    ),
    "cloud": _plain("tenths", "opaque cloud", "", 0.0, 10.0),
}
"""Limits: extremes recorded on earth, rounded outwards (305 mm of rain in an hour, for one), common practice.
Clipping of humidity to 102 % and of rain and sun down to -0.5: rounding and differencing in station and
reanalysis records, own rule. The last three only help to work out others."""

CANONICAL: Final = tuple(QUANTITIES)[:10]
"""Variables of the canonical dataset, in order."""


@dataclass(frozen=True)
class Record:
    """Rows of a weather file.

    Attributes
    ----------
    path : Path
        The file.
    begin : array of datetime64[s], shape (rows,)
        Begin of each hour, in the standard time of the file.
    lines : array of int, shape (rows,)
        Line of each row; 0 where the row is missing in the file, -1 where rows have no line of their own.
    values : dict of str to array, shape (rows,)
        Columns that the file has, by name in `QUANTITIES`; NaN where missing.
    latitude, longitude, altitude : float
        [degrees north], [degrees east], [m].
    utc_offset : float
        Standard time less UTC [h].
    attrs : dict
        What the reader has to say: source, ignored columns, nominal year.
    counts : dict of str to dict of str to int
        How many values were changed, by kind of change and variable.
    findings : tuple of Finding
        What the reader and the corrections have to say.
    said : dict of str to float or str
        What the file says about its anemometer (`wind_height`, `wind_terrain`), its rain (`yearly_rain_mm`)
        and what of it is not measured (`modelled`).
    origins : dict of str to (Path, array of int)
        File and line of each row for variables that come from another file than `path`.
    """

    path: Path
    begin: NDArray[np.datetime64]
    lines: NDArray[np.int64]
    values: dict[str, FloatArray]
    latitude: float
    longitude: float
    altitude: float
    utc_offset: float
    attrs: dict[str, str] = field(default_factory=dict)
    counts: dict[str, dict[str, int]] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    said: dict[str, float | str] = field(default_factory=dict)
    origins: dict[str, tuple[Path, NDArray[np.int64]]] = field(default_factory=dict)

    def with_values(self, **columns: FloatArray) -> Record:
        """Return a copy with some columns put in."""
        return replace(self, values={**self.values, **columns})

    def without(self, name: str) -> Record:
        """Return a copy that lacks a column."""
        return replace(self, values={key: column for key, column in self.values.items() if key != name})

    def with_count(self, kind: str, name: str, number: int) -> Record:
        """Return a copy that remembers how many values of `name` were changed; itself where none were."""
        if not number:
            return self
        return replace(self, counts={**self.counts, kind: {**self.counts.get(kind, {}), name: number}})

    def with_findings(self, *findings: Finding) -> Record:
        """Return a copy with findings added."""
        return replace(self, findings=(*self.findings, *findings))

    def rows(self, keep: NDArray[np.bool_] | NDArray[np.int64]) -> Record:
        """Return a copy with some rows only, in the order asked for."""
        return replace(
            self,
            begin=self.begin[keep],
            lines=self.lines[keep],
            values={name: column[keep] for name, column in self.values.items()},
            origins={name: (path, lines[keep]) for name, (path, lines) in self.origins.items()},
        )

    def begin_utc(self) -> NDArray[np.datetime64]:
        """Return the begin of each hour in UTC."""
        return self.begin - np.timedelta64(round(self.utc_offset * 3600.0), "s")

    def end_utc(self) -> NDArray[np.datetime64]:
        """Return the end of each hour in UTC."""
        return self.begin_utc() + np.timedelta64(3600, "s")

    def place(self, row: int, name: str | None = None) -> str:
        """Return file and line of a row, of a variable where that is named; the file where it has no line."""
        path, lines = self.origins.get(name or "", (self.path, self.lines))
        return f"{path}:{lines[row]}" if lines[row] > 0 else str(path)
