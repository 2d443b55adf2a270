"""One weather file to the canonical hourly dataset."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final, Literal

import numpy as np
import xarray as xr

from hygro.climate.anemometer import corrected_wind
from hygro.climate.checks import checked
from hygro.climate.finding import Finding
from hygro.climate.formats import read_weather
from hygro.climate.gaps import gap_text, runs
from hygro.climate.options import ReadOptions
from hygro.climate.quality import odd_rows, odd_values
from hygro.climate.record import CANONICAL, QUANTITIES, Record
from hygro.climate.series import read_series
from hygro.climate.sky import completed, settled_direction
from hygro.climate.sun import refuse_sun_in_the_dark
from hygro.errors import ClimateError

MODELS: Final = {
    "relative_humidity": "Relative humidity is worked out from the dew point (both over water)",
    "air_pressure": "Air pressure is worked out from sea level or from the altitude (ISO 2533, from memory)",
    "solar_direct_normal": "Direct sun is split from the global (Erbs et al. 1982)",
    "solar_diffuse": "Diffuse sun is split from the global (Erbs et al. 1982)",
    "longwave_sky": "Sky long-wave is worked out from dew point and cloud (formula of the EPW dictionary)",
    "cloud": "Cloud is estimated from the sun that came through (Kasten and Czeplak 1980)",
}
"""How what a record lacks is worked out."""

FROM_GLOBAL: Final = {
    "solar_direct_normal": "Direct sun is what the diffuse leaves of the global",
    "solar_diffuse": "Diffuse sun is what the direct leaves of the global",
}
"""The same where only one of the two is missing."""

RAIN_HINT = 'give rain = "file.csv" with hour_ending_utc and rain_mm, or rain = "none" on purpose'


@dataclass(frozen=True)
class Inspection:
    """What became of a weather file.

    Attributes
    ----------
    findings : tuple of Finding
        Everything that is odd, filled, modelled or refused.
    weather : xarray.Dataset or None
        The canonical dataset; None where the record is refused.
    refusal : ClimateError or None
        Why it is refused.
    """

    findings: tuple[Finding, ...]
    weather: xr.Dataset | None
    refusal: ClimateError | None


def load_weather(
    path: str | Path | Sequence[str | Path],
    *,
    rain: str | Path | Literal["none"] | None = None,
    columns: Mapping[str, str] | None = None,
    location: tuple[float, float, float] | None = None,
    utc_offset_hours: float | None = None,
    yearly_rain: float | None = None,
    **reading: Any,
) -> xr.Dataset:
    """Read, check and complete a weather file.

    Parameters
    ----------
    path : str or Path, or sequence of them
        A file in one of the formats of docs/climate.md; several where a record comes in several files.
    rain : str or Path, optional
        A CSV that supplies hourly rain, or "none" where rain is left out on purpose.
    columns : mapping, optional
        For tables: known column name to the file's own.
    location : (float, float, float), optional
        Where the file does not say: latitude [degrees north], longitude [degrees east], altitude [m].
    utc_offset_hours : float, optional
        For stamps in standard time, or a file that is wrong about it: standard time less UTC [h].
    yearly_rain : float, optional
        What the rain should add up to [mm a year]; a finding says so where it does not.
    **reading
        Further fields of `hygro.climate.options.ReadOptions`: `time_zone`, `missing`, `years`, `wind_height`,
        `wind_terrain`, `fill_hours`, `grid`.

    Returns
    -------
    xarray.Dataset
        Dimension `time`: end of each hour, UTC. Variables: `hygro.climate.record.CANONICAL`, hour means;
        degC, Pa, 1, m/s, degrees, mm, W/m2. Direction is NaN where calm or unknown. Attributes say where it
        came from and what was changed or worked out; `findings` is JSON.

    Raises
    ------
    ClimateError
        Where the file can't be used, with file and line or the times.
    """
    options = ReadOptions(
        columns=columns or {}, location=location, utc_offset_hours=utc_offset_hours, **reading
    )
    found = inspect_weather(path, options, rain=rain, yearly_rain=yearly_rain)
    if found.weather is None:
        assert found.refusal is not None
        raise found.refusal
    return found.weather


def inspect_weather(
    path: str | Path | Sequence[str | Path],
    options: ReadOptions | None = None,
    *,
    rain: str | Path | None = None,
    yearly_rain: float | None = None,
) -> Inspection:
    """Read a weather file and list everything that is odd in it, also where it is then refused.

    Parameters
    ----------
    path : str or Path, or sequence of them
        As for `load_weather`.
    options : ReadOptions, optional
        What the file does not say.
    rain : str or Path, optional
        As for `load_weather`.
    yearly_rain : float, optional
        As for `load_weather`.

    Returns
    -------
    Inspection

    Raises
    ------
    ClimateError
        Where the file can't even be read, or the rain of a year is no amount.
    """
    options = options or ReadOptions()
    paths = [Path(path)] if isinstance(path, str | Path) else [Path(each) for each in path]
    if yearly_rain is not None and not yearly_rain > 0.0:
        raise ClimateError("the rain of a year is impossible", found=yearly_rain, expected="more than 0 mm")
    record = _without_idle(_corrected(read_weather(paths, options), options))
    if rain is not None:
        record = record.without("rain")  # what takes its place is checked on its own
    _check_place(record)
    findings = [*record.findings, *odd_rows(record)]
    if not any(finding.state == "refused" for finding in findings):
        stated = yearly_rain if yearly_rain is not None else record.said.get("yearly_rain_mm")
        findings += odd_values(record, options.fill_hours, None if stated is None else float(stated))
    try:
        record = _settled_rain(checked(record, options.fill_hours), rain)
        if "solar_global" in record.values:
            sun = record.values["solar_global"]
            refuse_sun_in_the_dark(
                str(record.path),
                sun,
                record.begin_utc(),
                record.latitude,
                record.longitude,
                utc_offset=record.utc_offset,
            )
        record = _with_modelled_elsewhere(settled_direction(completed(record)))
    except ClimateError as refusal:
        said = Finding("refusal", "file", "refused", 0, (), refusal.sentence())
        return Inspection((*findings, said), None, refusal)
    findings += _afterwards(record)
    return Inspection(tuple(findings), _dataset(record, findings, paths), None)


def _corrected(record: Record, options: ReadOptions) -> Record:
    """Return the record cut to the years asked for, with the wind at 10 m in the open."""
    if options.years is not None:
        first, last = options.years
        year = record.begin.astype("datetime64[Y]").astype(int) + 1970
        keep = (year >= first) & (year <= last)
        if not keep.any():
            raise ClimateError(
                "the record holds nothing of the years asked for",
                where=str(record.path),
                found=f"{year.min()} to {year.max()}",
                expected=f"something of {first} to {last}",
            )
        record = record.rows(keep)
    height, terrain = options.wind_height, options.wind_terrain
    if (height, terrain) == (ReadOptions.wind_height, ReadOptions.wind_terrain):
        height = float(record.said.get("wind_height", height))
        terrain = str(record.said.get("wind_terrain", terrain))
    return corrected_wind(record, height, terrain)


def _with_modelled_elsewhere(record: Record) -> Record:
    """Return the record with what its file says was modelled added to what was modelled here."""
    names = [*record.attrs["modelled"].split(", "), *str(record.said.get("modelled", "")).split(", ")]
    listed = ", ".join(dict.fromkeys(name for name in names if name))
    return replace(record, attrs={**record.attrs, "modelled": listed})


def _without_idle(record: Record) -> Record:
    """Return the record without columns that nothing asks for: their gaps are no reason to refuse it."""
    has = set(record.values)
    if "longwave_sky" in has:
        record = record.without("cloud")
        if "relative_humidity" in has:
            record = record.without("dew_point")
    return record.without("pressure_sea_level") if "air_pressure" in has else record


def _afterwards(record: Record) -> list[Finding]:
    """Return what is known only after the checks: leap day, what is modelled, wind without direction."""
    found = []
    policy = record.attrs.get("leap_policy", "")
    if "dropped" in policy or "kept" in policy:
        found.append(Finding("leap day", "times", "noted", 0, (), f"{policy[0].upper()}{policy[1:]}."))
    if nominal := record.attrs.get("nominal_year"):
        found.append(Finding("typical year", "times", "noted", 0, (), f"{nominal[0].upper()}{nominal[1:]}."))
    modelled = record.attrs["modelled"].split(", ")
    for name in modelled:
        if name:
            one_of_two = {"solar_direct_normal", "solar_diffuse"} - set(modelled)
            text = f"{FROM_GLOBAL[name] if one_of_two and name in FROM_GLOBAL else MODELS.get(name, name)}."
            found.append(Finding("modelled", name, "modelled", len(record.begin), (), text))
    kind = record.attrs["rain"]
    if kind != "measured":
        text = "Rain is left out on purpose." if kind == "none" else "Rain comes from a file of its own."
        found.append(Finding("rain", "rain", "noted", 0, (), text))
    return found


def _check_place(record: Record) -> None:
    for what, value, low, high in (
        ("latitude", record.latitude, -90.0, 90.0),
        ("longitude", record.longitude, -180.0, 180.0),
        ("altitude", record.altitude, -500.0, 9000.0),
        ("time zone", record.utc_offset, -12.0, 14.0),
    ):
        if not low <= value <= high:
            raise ClimateError(
                f"the {what} is impossible",
                where=str(record.path),
                found=value,
                expected=f"{low:g} to {high:g}",
            )


def _settled_rain(record: Record, rain: str | Path | None) -> Record:
    if rain is not None and str(rain) == "none":
        return _with_rain(record, np.zeros(len(record.begin)), "none")
    if rain is not None:
        (supplied,) = read_series(Path(rain), ("rain_mm",), record.end_utc())
        digest = hashlib.sha256(Path(rain).read_bytes()).hexdigest()
        record = replace(record, attrs={**record.attrs, "rain_source": str(rain), "rain_sha256": digest})
        return _with_rain(record, supplied, "supplied")
    measured = record.values.get("rain")
    if measured is None:
        raise ClimateError("the record holds no rain", where=str(record.path), hint=RAIN_HINT)
    missing = np.isnan(measured)
    if missing.any():
        raise ClimateError(
            "rain is missing in some hours and is not made up",
            where=str(record.path),
            found=f"{int(missing.sum())} hours, {gap_text(record, runs(missing))}",
            hint=RAIN_HINT,
        )
    if not (measured > 0.0).any():
        raise ClimateError(
            "rain is zero in every hour, which is no dry year but a record without rain",
            where=str(record.path),
            hint=RAIN_HINT,
        )
    return _with_rain(record, measured, "measured")


def _with_rain(record: Record, rain: np.ndarray, said: str) -> Record:
    return replace(record.with_values(rain=rain), attrs={**record.attrs, "rain": said})


def _dataset(record: Record, findings: Sequence[Finding], paths: Sequence[Path]) -> xr.Dataset:
    variables = {}
    for name in CANONICAL:
        quantity = QUANTITIES[name]
        attrs = {"units": quantity.units, "long_name": quantity.long_name}
        if quantity.standard_name:
            attrs["standard_name"] = quantity.standard_name
        values = np.asarray(record.values[name], dtype=np.float64)
        if not np.isfinite(values).all() and name != "wind_direction":
            raise ClimateError(f"{quantity.long_name} is not finite in every hour", where=str(record.path))
        variables[name] = ("time", values, attrs)
    time = record.end_utc().astype("datetime64[ns]")
    attrs = {"standard_name": "time", "long_name": "end of the hour, UTC"}
    return xr.Dataset(variables, {"time": ("time", time, attrs)}, _attributes(record, findings, paths))


def _attributes(record: Record, findings: Sequence[Finding], paths: Sequence[Path]) -> dict[str, str | float]:
    counts = {
        kind: ", ".join(f"{name} {number}" for name, number in sorted(changed.items()))
        for kind, changed in record.counts.items()
    }
    return {
        **record.attrs,
        "latitude": record.latitude,
        "longitude": record.longitude,
        "altitude": record.altitude,
        "utc_offset_hours": record.utc_offset,
        "file": ", ".join(path.name for path in paths),
        "sha256": _digest(paths),
        "findings": json.dumps([finding.to_dict() for finding in findings], ensure_ascii=False),
        "interpolated": counts.get("interpolated", ""),
        "clipped": counts.get("clipped", ""),
        "missing_rows": record.counts.get("missing", {}).get("rows", 0),
        "hours_without_direction": record.counts.get("without direction", {}).get("wind_direction", 0),
    }


def _digest(paths: Sequence[Path]) -> str:
    """Return the sha256 of one file, or of the digests of several."""
    digests = [hashlib.sha256(path.read_bytes()).hexdigest() for path in paths]
    return digests[0] if len(digests) == 1 else hashlib.sha256("".join(digests).encode()).hexdigest()
