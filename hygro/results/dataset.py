"""Raw arrays of a march to the CF-conforming result dataset.

Temperatures are stored in degC, humidity as a fraction. Profiles are single precision, which is far finer
than any measurement; everything that sums, balances and scores use stays in double precision.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from hygro.constants import JOULES_PER_KWH, SECONDS_PER_HOUR, ZERO_CELSIUS
from hygro.errors import ResultError
from hygro.physics.moist_air import relative_humidity, saturation_pressure
from hygro.physics.typing import FloatArray
from hygro.results.provenance import history_line, platform_text, source_text, versions
from hygro.results.raw import RawResult, hour_ends, year_edges
from hygro.variables.registry import VARIABLES

HEATING_LIMIT = 15.0
"""Outdoor daily mean that makes a heating day when below [degC]; common practice, no published source."""

CONVENTIONS = "CF-1.11"

_HOURS_PER_DAY = 24
_FLUXES = (
    "heat_flux_internal",
    "heat_flux_external",
    "vapour_flux_internal",
    "vapour_flux_external",
    "rain_on_wall",
    "rain_uptake",
)
_DRIVERS = (
    "external_air_temperature",
    "external_vapour_pressure",
    "internal_air_temperature",
    "internal_vapour_pressure",
)
_SOURCES = ("heat_from_sources", "water_from_sources")
_YEARLY = ("year_moisture_change", "balance_heat", "balance_moisture")


def build_dataset(raw: RawResult) -> xr.Dataset:
    """Build the result dataset of one simulated wall.

    Parameters
    ----------
    raw : RawResult
        Arrays of the march, SI units.

    Returns
    -------
    xarray.Dataset
        Every variable of the registry with its CF attributes; docs/results.md describes them.

    Raises
    ------
    ResultError
        Where an array has the wrong shape, a label occurs twice or a value is not finite.
    """
    _check_shapes(raw)
    values = {**_coordinates(raw), **_states(raw), **_hourly(raw), **_yearly(raw)}
    arrays = {name: (VARIABLES[name].dims, _typed(name, array)) for name, array in values.items()}
    _check_finite(arrays)
    dataset = xr.Dataset(arrays, attrs=_attributes(raw))
    dataset = dataset.set_coords([name for name in arrays if VARIABLES[name].coordinate])
    return describe_variables(dataset)


def describe_variables(dataset: xr.Dataset) -> xr.Dataset:
    """Write units, names and meaning on each variable that the registry knows.

    Parameters
    ----------
    dataset : xarray.Dataset
        Changed in place; logged data in the same shape may be given as well.

    Returns
    -------
    xarray.Dataset
        The same object.
    """
    for name in dataset.variables:
        entry = VARIABLES.get(str(name))
        if entry is None:
            continue
        attributes: dict[str, Any] = dict(entry.attributes())
        if entry.flags:
            attributes["flag_values"] = np.arange(len(entry.flags), dtype=np.int8)
            attributes["flag_meanings"] = " ".join(entry.flags)
        dataset[name].attrs.update(attributes)
    if "time" in dataset.variables:
        dataset["time"].attrs["axis"] = "T"
        if "time_bounds" in dataset.variables:
            dataset["time"].attrs["bounds"] = "time_bounds"
    return dataset


def _coordinates(raw: RawResult) -> dict[str, Any]:
    hours = len(raw.temperature)
    ends = hour_ends(raw.start, hours, raw.record_hours)
    stamps = np.concatenate([[raw.start.astype("datetime64[ns]")], ends])
    thickness = np.array([layer.thickness for layer in raw.layers])
    places, layers = raw.places, raw.layers
    return {
        "time": ends,
        "time_bounds": np.stack([ends - np.timedelta64(1, "h"), ends], axis=1),
        "field_time": stamps[np.asarray(raw.field_hours)],
        "depth": np.cumsum(raw.cell_size) - 0.5 * raw.cell_size,
        "depth_layer": raw.cell_layer,
        "cell_size": raw.cell_size,
        "place": [place.label for place in places],
        "place_kind": [place.kind for place in places],
        "place_depth": [place.depth for place in places],
        "place_material_outer": [place.material_outer for place in places],
        "place_material_inner": [place.material_inner for place in places],
        "place_sensitivity": [place.sensitivity for place in places],
        "place_decline": [place.decline for place in places],
        "place_timber": [place.timber for place in places],
        "layer": [layer.name for layer in layers],
        "layer_material": [layer.material for layer in layers],
        "layer_thickness": thickness,
        "layer_start": np.cumsum(thickness) - thickness,
        "layer_conductivity": [layer.conductivity for layer in layers],
        "layer_density": [layer.density for layer in layers],
        "layer_timber": [layer.timber for layer in layers],
        "layer_added": [layer.added for layer in layers],
        "year": np.arange(1, len(year_edges(raw.start, hours, raw.record_hours))),
    }


def _states(raw: RawResult) -> dict[str, FloatArray]:
    in_layer = np.asarray(raw.cell_layer)[:, None] == np.arange(len(raw.layers))
    return {
        "temperature": raw.temperature - ZERO_CELSIUS,
        "relative_humidity": relative_humidity(raw.suction, raw.temperature),
        "temperature_field": raw.field_temperature - ZERO_CELSIUS,
        "relative_humidity_field": relative_humidity(raw.field_suction, raw.field_temperature),
        "water_content_field": raw.field_water,
        "layer_water_content": (raw.field_water * raw.cell_size) @ in_layer.astype(float),
    }


def _hourly(raw: RawResult) -> dict[str, FloatArray]:
    values = {name: np.asarray(getattr(raw, name)) for name in _FLUXES}
    values |= {name: _given(raw, name) for name in _SOURCES}
    for side in ("external", "internal"):
        temperature = getattr(raw, f"{side}_air_temperature")
        pressure = getattr(raw, f"{side}_vapour_pressure")
        values[f"{side}_air_temperature"] = temperature - ZERO_CELSIUS
        values[f"{side}_relative_humidity"] = pressure / saturation_pressure(temperature)
    return values


def _yearly(raw: RawResult) -> dict[str, Any]:
    edges = year_edges(raw.start, len(raw.temperature), raw.record_hours)
    heating = heating_hours(raw.external_air_temperature - ZERO_CELSIUS, edges)
    heat = np.where(heating, raw.heat_flux_internal, 0.0)
    per_hour = SECONDS_PER_HOUR
    return {
        "year_hours": np.diff(edges),
        "year_heat_loss": _sums(heat, edges) * per_hour / JOULES_PER_KWH,
        "year_rain_on_wall": _sums(raw.rain_on_wall, edges) * per_hour,
        "year_rain_uptake": _sums(raw.rain_uptake, edges) * per_hour,
        "year_heat_from_sources": _sums(_given(raw, "heat_from_sources"), edges) * per_hour / JOULES_PER_KWH,
        "year_water_from_sources": _sums(_given(raw, "water_from_sources"), edges) * per_hour,
        **{name: getattr(raw, name) for name in _YEARLY},
    }


def _given(raw: RawResult, name: str) -> FloatArray:
    """Hourly values of what sources give; zeros where there are none."""
    values: FloatArray | None = getattr(raw, name)
    return np.zeros(len(raw.temperature)) if values is None else values


def heating_hours(air_temperature: FloatArray, edges: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Tell which hours lie on heating days: days whose outdoor mean is below `HEATING_LIMIT`.

    Parameters
    ----------
    air_temperature : array, shape (hours,)
        Outdoor air [degC].
    edges : array of int
        Begin of each year and end of the last, as from `hygro.results.raw.year_edges`. Days are counted from
        the begin of each year; a last day that is cut short has the mean of its hours.

    Returns
    -------
    array of bool, shape (hours,)
    """
    heating = np.zeros(len(air_temperature), dtype=bool)
    for begin, end in zip(edges[:-1], edges[1:], strict=True):
        days = np.arange(begin, end, _HOURS_PER_DAY)
        lengths = np.diff(np.append(days, end))
        means = np.add.reduceat(air_temperature[begin:end], days - begin) / lengths
        heating[begin:end] = np.repeat(means < HEATING_LIMIT, lengths)
    return heating


def _sums(series: FloatArray, edges: NDArray[np.int64]) -> FloatArray:
    return np.add.reduceat(np.asarray(series, dtype=float), edges[:-1])


def _typed(name: str, values: Any) -> NDArray[Any]:
    kinds = {"f8": np.float64, "f4": np.float32, "i4": np.int32, "i1": np.int8, "str": np.str_}
    kind = VARIABLES[name].dtype
    return np.asarray(values) if kind == "time" else np.asarray(values, dtype=kinds[kind])


def _check_shapes(raw: RawResult) -> None:
    hours, cells, fields = len(raw.temperature), len(raw.cell_size), len(raw.field_hours)
    if hours == 0:
        raise ResultError("the march holds no hour", hint="a partial result needs at least one finished hour")
    years = len(year_edges(raw.start, hours, raw.record_hours)) - 1
    expected: dict[str, tuple[int, ...]] = {
        "temperature": (hours, len(raw.places)),
        "suction": (hours, len(raw.places)),
        "cell_layer": (cells,),
        **{name: (fields, cells) for name in ("field_temperature", "field_suction", "field_water")},
        **{name: (hours,) for name in (*_FLUXES, *_DRIVERS)},
        **{name: (hours,) for name in _SOURCES if getattr(raw, name) is not None},
        **{name: (years,) for name in _YEARLY},
    }
    for name, shape in expected.items():
        found = np.shape(getattr(raw, name))
        if found != shape:
            raise ResultError(f"{name} has the wrong shape", found=found, expected=f"{shape}")
    for what, labels in (
        ("place", [place.label for place in raw.places]),
        ("layer", [layer.name for layer in raw.layers]),
    ):
        twice = sorted({label for label in labels if labels.count(label) > 1})
        if twice:
            raise ResultError(f"a {what} label occurs twice", found=twice[0], expected="unique labels")


def _check_finite(arrays: Mapping[str, tuple[tuple[str, ...], NDArray[Any]]]) -> None:
    for name, (_, values) in arrays.items():
        if values.dtype.kind == "f" and not np.isfinite(values).all():
            at = tuple(int(index) for index in np.argwhere(~np.isfinite(values))[0])
            raise ResultError(f"{name} is not finite", where=f"index {at}", found=float(values[at]))


def _attributes(raw: RawResult) -> dict[str, Any]:
    run = raw.run
    return {
        "Conventions": CONVENTIONS,
        "title": run.title,
        "source": source_text(),
        "history": history_line(f"simulated {run.case_file}" if run.case_file else "simulated"),
        "case_file": run.case_file,
        "case_sha256": run.case_sha256,
        "case_resolved": _json(run.case_resolved or {}),
        "materials": _json(list(run.materials)),
        "climate_source": run.climate_source,
        "climate_sha256": run.climate_sha256,
        "build_up": run.build_up,
        "thickness_mm": "none" if run.thickness_mm is None else float(run.thickness_mm),
        "elevation": "none" if run.elevation is None else float(run.elevation),
        "elevation_name": run.elevation_name,
        "settings": _json(run.settings or {}),
        "versions": _json(versions()),
        "platform": platform_text(),
        "steps": int(run.steps),
        "rejected": int(run.rejected),
        "wall_seconds": float(run.wall_seconds),
        "compile_seconds": float(run.compile_seconds),
        "status": run.status,
        "steady_year": int(run.steady_year),
        "approach": run.approach,
        "years_simulated": float(run.years_simulated),
        "references": "; ".join(run.references),
    }


def _json(value: Any) -> str:
    return json.dumps(value, sort_keys=True, ensure_ascii=False, allow_nan=False)
