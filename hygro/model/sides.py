"""The two boundaries of a wall, on one clock."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Literal

import numpy as np

from hygro.case.boundaries import BoundarySection
from hygro.case.case import Case
from hygro.case.run import AS_RECORDED
from hygro.constants import HOURS_PER_YEAR, ZERO_CELSIUS
from hygro.errors import CaseError, ClimateError
from hygro.model.boundary import constant_boundary, fixed_boundary, series_boundary
from hygro.model.climates import room_climate_of, wall_climate_of, weather_of
from hygro.model.series import BoundarySeries, read_series
from hygro.model.wall import Boundary
from hygro.physics.typing import FloatArray

SideName = Literal["external", "internal"]

NOMINAL_START = np.datetime64("2001-01-01T00", "h")
"""Begin of the first hour where nothing prescribes a date; a year without 29 February."""

_HOUR = np.timedelta64(1, "h")


@dataclass(frozen=True)
class Sides:
    """Both boundaries of a wall.

    Parameters
    ----------
    external, internal : Boundary
        Of equal length.
    start : datetime64
        Begin of the first hour, UTC.
    shift : int
        Hours of the record that were moved to its end.
    """

    external: Boundary
    internal: Boundary
    start: np.datetime64
    shift: int = 0


def sides_of(case: Case, elevation: float | None) -> Sides:
    """Work out both boundaries.

    Parameters
    ----------
    case : Case
        A checked case.
    elevation : float or None
        Direction that the wall faces [degrees from north]; None where [external] prescribes the boundary.

    Returns
    -------
    Sides
        Rolled so that the run starts with [run] start_month, where the external boundary is a climate.

    Raises
    ------
    CaseError
        The lengths of series and run do not go together.
    ClimateError
        A weather, room or boundary file is not usable.
    """
    series = _series(case)
    hours = _hours(case, series)
    external = _external(case, elevation, series.get("external"), hours)
    internal = _internal(case, series.get("internal"), hours)
    if case.spec.external.kind == "climate":
        return _rolled(case, external, internal)
    starts = [given.start for given in series.values() if given.start is not None]
    return Sides(external, internal, starts[0] if starts else NOMINAL_START)


def _series(case: Case) -> dict[SideName, BoundarySeries]:
    """Read the boundary files that the case names."""
    named: dict[SideName, str | None] = {
        "external": case.spec.external.file,
        "internal": case.spec.internal.file,
    }
    return {name: read_series(case.file(file)) for name, file in named.items() if file}


def _needs_weather(case: Case) -> bool:
    room = case.spec.room
    return case.spec.external.kind == "climate" or (room is not None and room.climate != "constant")


def _hours(case: Case, series: dict[SideName, BoundarySeries]) -> int:
    """Find the one length of all series, or that of the run where nothing varies."""
    lengths: dict[str, int] = {f"[{name}]": len(next(iter(s.values.values()))) for name, s in series.items()}
    if _needs_weather(case):
        lengths["the weather"] = int(weather_of(case).sizes["time"])
    run = case.spec.run
    if not lengths:
        return run.hours or HOURS_PER_YEAR
    if len(set(lengths.values())) > 1:
        found = ", ".join(f"{name} {hours} h" for name, hours in lengths.items())
        raise CaseError("the series of the two sides differ in length", where=str(case.path), found=found)
    name, hours = next(iter(lengths.items()))
    whole_years = hours % HOURS_PER_YEAR == 0
    if run.hours is None and not whole_years:
        raise case.source.error(
            ("run",),
            f"{name} cannot be repeated year by year",
            found=f"{hours} h",
            expected="whole years of 8760 h, or [run] hours",
        )
    if run.hours is not None and run.hours > hours and not whole_years:
        raise case.source.error(
            ("run", "hours"), f"the run is longer than {name} of {hours} h", found=run.hours
        )
    return hours


def _external(case: Case, elevation: float | None, series: BoundarySeries | None, hours: int) -> Boundary:
    side = case.spec.external
    if side.kind != "climate":
        return _prescribed(side, series, hours)
    assert elevation is not None and case.spec.site is not None
    climate = wall_climate_of(case, elevation)
    return series_boundary(
        temperature=climate.equivalent_temperature,
        air_temperature=climate.air_temperature,
        vapour_pressure=climate.vapour_pressure,
        heat_coefficient=climate.heat_coefficient,
        vapour_coefficient=climate.vapour_coefficient,
        rain=case.spec.site.uptake_share * climate.driving_rain,
    )


def _internal(case: Case, series: BoundarySeries | None, hours: int) -> Boundary:
    side, room, wall = case.spec.internal, case.spec.room, case.spec.wall
    if side.kind != "climate":
        return _prescribed(side, series, hours)
    assert room is not None
    heat, vapour = wall.heat_coefficient_internal_W_m2K, wall.vapour_coefficient_internal_kg_m2sPa
    if room.climate == "constant":
        assert room.temperature_C is not None and room.relative_humidity_percent is not None
        return constant_boundary(
            hours=hours,
            temperature=room.temperature_C + ZERO_CELSIUS,
            relative_humidity=room.relative_humidity_percent / 100.0,
            heat_coefficient=heat,
            vapour_coefficient=vapour,
        )
    climate = room_climate_of(case)
    return series_boundary(
        temperature=climate.air_temperature,
        vapour_pressure=climate.vapour_pressure,
        heat_coefficient=heat,
        vapour_coefficient=vapour,
    )


def _prescribed(side: BoundarySection, series: BoundarySeries | None, hours: int) -> Boundary:
    """Make a boundary from the numbers of a section and the columns of its file."""
    values: dict[str, float | FloatArray] = {
        name: value for name, value in _constants(side).items() if value is not None
    }
    if series is not None:
        if twice := sorted(set(values) & set(series.values)):
            raise ClimateError(
                f"{twice[0].replace('_', ' ')} is given both in the file and in the case file",
                where=str(series.path),
            )
        values |= series.values
    needed = (
        ("temperature",)
        if side.kind == "fixed"
        else ("temperature", "heat_coefficient", "vapour_coefficient")
    )
    for name in needed:
        if name not in values:
            where = str(series.path) if series else None
            raise ClimateError(f"the boundary has no {name.replace('_', ' ')}", where=where)
    if side.kind == "fixed":
        allowed = {"temperature", "relative_humidity"}
        if extra := sorted(set(values) - allowed):
            raise ClimateError(
                f"a fixed surface takes no {extra[0].replace('_', ' ')}", where=str(series and series.path)
            )
        return fixed_boundary(**values, hours=hours)
    return series_boundary(**values, hours=hours)


def _constants(side: BoundarySection) -> dict[str, float | None]:
    """Return the numbers of a section in SI, by the names of `hygro.model.boundary`."""
    celsius, percent = side.temperature_C, side.relative_humidity_percent
    return {
        "temperature": None if celsius is None else celsius + ZERO_CELSIUS,
        "relative_humidity": None if percent is None else percent / 100.0,
        "vapour_pressure": side.vapour_pressure_Pa,
        "heat_coefficient": side.heat_coefficient_W_m2K,
        "vapour_coefficient": side.vapour_coefficient_kg_m2sPa,
        "rain": side.rain_kg_m2s,
    }


def _rolled(case: Case, external: Boundary, internal: Boundary) -> Sides:
    """Start the year with the month asked for; the hours before it move to the end."""
    begins = weather_of(case)["time"].values.astype("datetime64[h]") - _HOUR
    month = case.spec.run.start_month
    if month == AS_RECORDED:
        return Sides(external, internal, begins[0])
    if len(begins) % HOURS_PER_YEAR != 0:
        raise case.source.error(
            ("run", "start_month"),
            "the weather cannot start with another month, since it holds no whole years",
            found=f"{len(begins)} h",
            hint=f'set start_month = "{AS_RECORDED}"',
        )
    months = begins.astype("datetime64[M]").astype(int) % 12 + 1
    days = (begins.astype("datetime64[D]") - begins.astype("datetime64[M]")).astype(int)
    hours = (begins - begins.astype("datetime64[D]")).astype(int)
    first = int(np.argmax((months == month) & (days == 0) & (hours == 0)))
    return Sides(rolled(external, first), rolled(internal, first), begins[first], first)


def rolled(boundary: Boundary, first: int) -> Boundary:
    """Let a boundary begin with another hour; the hours before it move to the end."""
    arrays = {field.name: getattr(boundary, field.name) for field in fields(boundary) if field.name != "kind"}
    return replace(boundary, **{name: np.roll(values, -first) for name, values in arrays.items()})
