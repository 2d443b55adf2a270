"""What is odd in a weather record as it was read: gaps, doubles, stuck sensors, sun at night, rain, humidity.

These tests only tell. What is refused is refused by `checks.py`, `sun.py`, `sky.py` and `weather.py`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hygro.climate.finding import Finding, spell_times
from hygro.climate.gaps import STRAIGHT, runs
from hygro.climate.record import QUANTITIES, Record
from hygro.climate.sun import DARK_HOURS, LATE, dark_hours, sun_lateness
from hygro.physics.typing import FloatArray

STUCK: Final[dict[str, tuple[int, float, float]]] = {
    "air_temperature": (24, -np.inf, np.inf),
    "dew_point": (24, -np.inf, np.inf),
    "relative_humidity": (24, 0.0, 0.97),
    "air_pressure": (48, 0.0, np.inf),
    "pressure_sea_level": (48, 0.0, np.inf),
    "wind_speed": (24, 0.05, np.inf),
    "wind_direction": (48, 0.5, 359.5),
    "rain": (5, 0.5, np.inf),
    "solar_global": (5, 20.0, np.inf),
    "longwave_sky": (24, 0.0, np.inf),
}
"""Hours in a row with the same value, above and below bounds, that look like a stuck sensor. Own rule: longer
than steady weather keeps a rounded value. Fog keeps the air saturated for days, so that is left out."""

COARSE: Final = 3
"""Times as long where all values are whole numbers, as wind in m/s often is. Own rule."""

LATENESS: Final = 0.35
"""Hours by which the sun may seem early or late without a word. Own rule: measured years show up to 0.1,
stamps in the middle of the hour 0.5."""

RAIN_TOLERANCE: Final = 0.05
"""Relative difference between the yearly rain and a stated one that passes. Own rule: the undercatch of
gauges alone is about that."""

CAPPED_SHARE: Final = 0.02
"""Share of hours at the greatest humidity that tells of a cap below saturation. Own rule."""

SEASON_LATITUDE: Final = 20.0
"""Latitude [degrees] beyond which the warm half of the year tells the hemisphere. Own rule."""

DRY_WETTEST: Final = (10.0, 6000.0)
"""Yearly rain [mm] beyond which the unit is in doubt; few places with old masonry are drier or wetter. Own
rule."""


def odd_rows(record: Record) -> tuple[Finding, ...]:
    """Return what is odd in the order and number of rows.

    Parameters
    ----------
    record : Record
        As read, before any check.
    """
    steps = np.diff(record.begin)
    begin = record.begin_utc()
    found = []
    back = np.flatnonzero(steps < np.timedelta64(0, "s")) + 1
    same = np.flatnonzero(steps == np.timedelta64(0, "s")) + 1
    if len(back):
        times = spell_times(begin, [(int(row), int(row) + 1) for row in back])
        found.append(
            Finding("order", "times", "refused", len(back), times, f"{_rows(len(back))} back in time.")
        )
    if len(same):
        times = spell_times(begin, [(int(row), int(row) + 1) for row in same])
        found.append(
            Finding("duplicate", "times", "refused", len(same), times, f"{_hours(len(same))} twice.")
        )
    holes = [] if len(back) else np.flatnonzero(steps > np.timedelta64(3600, "s")).tolist()
    if holes:
        first = begin[holes] + np.timedelta64(3600, "s")
        lengths = (steps[holes] / np.timedelta64(3600, "s")).astype(int) - 1
        times = tuple(
            f"{a.astype('datetime64[m]')}Z {n} h" for a, n in zip(first[:3], lengths[:3], strict=True)
        )
        found.append(
            Finding(
                "missing rows",
                "rows",
                "doubtful",
                int(lengths.sum()),
                times + ((f"and {len(holes) - 3} more",) if len(holes) > 3 else ()),
                f"{int(lengths.sum())} rows are missing, at most {lengths.max()} in a row.",
            )
        )
    return tuple(found)


def odd_values(record: Record, fill_hours: int, yearly_rain: float | None = None) -> tuple[Finding, ...]:
    """Return what is odd in the values of a record whose rows are in order.

    Parameters
    ----------
    record : Record
        As read, before any value is changed.
    fill_hours : int
        Longest gap that will be filled [h].
    yearly_rain : float, optional
        What the rain should add up to [mm a year].
    """
    begin = record.begin_utc()
    found: list[Finding] = []
    for name, values in record.values.items():
        if name != "wind_direction":
            found += _gaps(name, values, begin, fill_hours)
        found += _limits(name, values, begin)
        found += _stuck(name, values, begin)
    found += _direction(record, begin)
    found += _sun(record, begin)
    found += _rain(record, begin, yearly_rain)
    found += _humidity(record)
    found += _season(record)
    return tuple(found)


def _rows(number: int) -> str:
    return "1 row goes" if number == 1 else f"{number} rows go"


def _hours(number: int) -> str:
    return "1 hour comes" if number == 1 else f"{number} hours come"


def _gaps(name: str, values: FloatArray, begin: NDArray[np.datetime64], fill_hours: int) -> Iterator[Finding]:
    spells = runs(np.isnan(values))
    if not spells:
        return
    count = int(np.isnan(values).sum())
    longest = max(stop - start for start, stop in spells)
    what = QUANTITIES[name].long_name
    text = f"{what} is missing in {count} h, at most {longest} in a row"
    if name == "rain":
        state, rule = "refused", "rain is never made up"
    elif longest > fill_hours:
        state, rule = "refused", f"gaps of up to {fill_hours} h are filled"
    elif longest > STRAIGHT:
        state, rule = "changed", f"up to {STRAIGHT} h along a line, longer from the days before and after"
    else:
        state, rule = "changed", "filled along a line"
    yield Finding("gap", name, state, count, spell_times(begin, spells), _sentence(f"{text}; {rule}"))


def _direction(record: Record, begin: NDArray[np.datetime64]) -> Iterator[Finding]:
    """Tell how often the wind blows without a direction; where it is calm none is needed."""
    if not {"wind_direction", "wind_speed"} <= set(record.values):
        return
    unknown = np.isnan(record.values["wind_direction"]) & (record.values["wind_speed"] > 0.0)
    if unknown.any():
        count = int(unknown.sum())
        rain = record.values.get("rain", np.zeros(len(begin)))[unknown]
        text = (
            f"the wind blows without a direction in {count} h; {np.nansum(rain):.1f} mm of rain drive nowhere"
        )
        times = spell_times(begin, runs(unknown))
        yield Finding("no direction", "wind_direction", "noted", count, times, _sentence(text))


def _limits(name: str, values: FloatArray, begin: NDArray[np.datetime64]) -> Iterator[Finding]:
    limits = QUANTITIES[name]
    impossible = (values < limits.clip_low) | (values > limits.clip_high)
    clipped = ((values < limits.low) | (values > limits.high)) & ~impossible
    for wrong, kind, state, text in (
        (impossible, "impossible value", "refused", "is impossible"),
        (clipped, "beyond its bounds", "changed", "is a little beyond its bounds and set to them"),
    ):
        if wrong.any():
            count = int(wrong.sum())
            extremes = f"{np.nanmin(values[wrong]):.4g} to {np.nanmax(values[wrong]):.4g} {limits.units}"
            yield Finding(
                kind,
                name,
                state,
                count,
                spell_times(begin, runs(wrong)),
                _sentence(f"{limits.long_name} {text} in {count} h, {extremes}"),
            )


def _stuck(name: str, values: FloatArray, begin: NDArray[np.datetime64]) -> Iterator[Finding]:
    if name not in STUCK:
        return
    least, low, high = STUCK[name]
    known = values[np.isfinite(values)]
    if name in ("wind_speed", "air_temperature", "dew_point") and (known == np.round(known)).all():
        least *= COARSE
    same = np.zeros(len(values), dtype=bool)
    same[1:] = np.diff(values) == 0.0
    same &= (values > low) & (values < high)
    spells = [(start - 1, stop) for start, stop in runs(same) if stop - start + 1 >= least]
    if spells:
        longest = max(stop - start for start, stop in spells)
        count = sum(stop - start for start, stop in spells)
        often = "once" if len(spells) == 1 else f"{len(spells)} times"
        text = f"{QUANTITIES[name].long_name} keeps one value for up to {longest} h ({often})"
        yield Finding(
            "stuck sensor",
            name,
            "doubtful",
            count,
            spell_times(begin, spells),
            _sentence(f"{text}; {least} h and more look like a stuck sensor"),
        )


def _sun(record: Record, begin: NDArray[np.datetime64]) -> Iterator[Finding]:
    sun = record.values.get("solar_global")
    if sun is None:
        return
    dark = dark_hours(sun, begin, record.latitude, record.longitude)
    if dark.any():
        count = int(dark.sum())
        state = "refused" if count > DARK_HOURS * max(1, round(len(begin) / 8760)) else "doubtful"
        text = f"the sun shines in {count} h in which it is below the horizon"
        yield Finding(
            "sun at night", "solar_global", state, count, spell_times(begin, runs(dark)), _sentence(text)
        )
    late = sun_lateness(sun, begin, record.latitude, record.longitude)
    if abs(late) > LATENESS:
        word = "late" if late > 0.0 else "early"
        state = "refused" if abs(late) > LATE else "doubtful"
        text = (
            f"the sun is {abs(late):.1f} h {word}: hours that end, begin or stand at their stamps mixed up?"
        )
        yield Finding("sun time", "solar_global", state, 0, (), _sentence(text))


def _rain(record: Record, begin: NDArray[np.datetime64], yearly_rain: float | None) -> Iterator[Finding]:
    rain = record.values.get("rain")
    if rain is None or not np.nansum(rain) > 0.0:
        return
    years = max(len(begin) / 8766.0, 1e-9)
    total = float(np.nansum(rain)) / max(1.0, round(years))
    whole_years = abs(years - round(years)) < 0.01
    if yearly_rain is not None and whole_years and abs(total - yearly_rain) > RAIN_TOLERANCE * yearly_rain:
        text = f"rain adds up to {total:.0f} mm a year and not to the {yearly_rain:.0f} mm stated"
        factor = yearly_rain / total
        hint = f"; a factor of {factor:.3g}, is the unit right?" if factor > 5.0 or factor < 0.2 else "."
        yield Finding("rain total", "rain", "doubtful", 0, (), text[0].upper() + text[1:] + hint)
    elif whole_years and not DRY_WETTEST[0] <= total <= DRY_WETTEST[1]:
        text = f"rain adds up to {total:.4g} mm a year; is the unit right?"
        yield Finding("rain total", "rain", "doubtful", 0, (), text[0].upper() + text[1:])
    months = begin.astype("datetime64[M]")
    dry = [
        m for m in np.unique(months) if (months == m).sum() > 600 and not np.nansum(rain[months == m]) > 0.0
    ]
    if dry:
        count = int(np.isin(months, dry).sum())
        times = tuple(str(month) for month in dry[:3]) + (
            (f"and {len(dry) - 3} more",) if len(dry) > 3 else ()
        )
        text = f"no rain at all in {len(dry)} month{'s' if len(dry) > 1 else ''}; was a gauge out of order?"
        yield Finding("month without rain", "rain", "doubtful", count, times, _sentence(text))
    wet = rain[rain > 0.0]
    if len(wet) > 50 and (wet == np.round(wet)).all():
        text = "rain stands in whole millimetres only: light rain is lost or lumped together"
        yield Finding("coarse rain", "rain", "doubtful", len(wet), (), _sentence(text))


def _humidity(record: Record) -> Iterator[Finding]:
    humidity = record.values.get("relative_humidity")
    if humidity is None or np.isnan(humidity).all():
        return
    most = float(np.nanmax(humidity))
    at_most = int((humidity > most - 1e-6).sum())
    if 0.85 <= most < 0.9999 and at_most > CAPPED_SHARE * len(humidity):
        text = f"humidity never exceeds {most:.0%} and stands there in {at_most} h: a cap that hides fog"
        yield Finding("humidity cap", "relative_humidity", "doubtful", at_most, (), _sentence(text))


def _season(record: Record) -> Iterator[Finding]:
    """Tell where the warm half of the year is that of the other hemisphere."""
    celsius = record.values.get("air_temperature")
    if celsius is None or abs(record.latitude) < SEASON_LATITUDE or len(celsius) < 8000:
        return
    month = record.begin.astype("datetime64[M]").astype(int) % 12 + 1
    northern = float(np.nanmean(celsius[np.isin(month, (6, 7, 8))])) - float(
        np.nanmean(celsius[np.isin(month, (12, 1, 2))])
    )
    if northern * record.latitude < 0.0 and abs(northern) > 2.0:
        warm = "June to August" if northern > 0.0 else "December to February"
        text = f"{warm} is warmest, which does not belong to latitude {record.latitude:g}: is its sign right?"
        yield Finding("hemisphere", "air_temperature", "doubtful", 0, (), text)


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}" + ("" if text.endswith("?") else ".")
