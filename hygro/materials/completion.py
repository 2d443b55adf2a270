"""Own materials from few numbers: a file that says `complete = true` may leave out what can be derived.

What is left out is filled in by published relations. Each value and curve made that way is marked
`kind = "derived"`, names its relation and its source, and carries a spread with its reason: `low` and
`high` in the unit of a value, at one humidity for the storage and vapour curves, as factors on the liquid
and heat curves (`hygro.materials.sources.Source`). What the file does state is never touched.

The raw measurements of a short file have sections of their own: `[sorption]` (one or more points) and
`[cups]` (dry cup, wet cup, or one of them).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import numpy as np

from hygro.constants import WATER_DENSITY
from hygro.materials.checks import check_range
from hygro.materials.completion_cups import solve_cups
from hygro.materials.completion_rules import (
    FREE_SHARE,
    LIQUID_SPREAD,
    RULES,
    STORAGE_SPREAD,
    VAPOUR_SPREAD,
    WET_SHARE,
    Rules,
)
from hygro.materials.completion_units import unit_hint
from hygro.materials.measured import MeasuredPoints
from hygro.materials.section import Section
from hygro.materials.storage import HyperbolicStorage, StorageCurve, suction_at_reference

Table = dict[str, Any]
"""One section of a material file."""

FASTEST_FRONT: Final = 3.0e-3
"""Greatest A_w over w_f of a building material [m/s^0.5], 18 cm in the first hour.

Soft rubbing brick, about 0.8 kg/(m2 s^0.5) at most (Lynch 2007) over 300 kg/m3, stays below; a coefficient
per square root of a minute is 7.7 times too large and mostly does not.
"""

DERIVED: Final = "derived"

STORAGE_SPREAD_HUMIDITY: Final = 0.8
"""Relative humidity at which the spread of a storage curve is stated [1], as in the parser."""


@dataclass
class _Draft:
    """A file on its way to completeness."""

    path: Path
    lines: dict[str, int]
    given: Table
    rules: Rules
    done: Table = field(default_factory=dict)

    def section(self, key: str) -> Section:
        """Enter a section as it stands by now."""
        return Section(self.path, "", {**self.given, **self.done}, self.lines).section(key)

    def has(self, key: str) -> bool:
        """Tell whether the file states a section."""
        return key in self.given

    def number(self, key: str) -> float:
        """Take a value that is stated or has been derived, in the unit of material files."""
        section = self.section(key)
        value = section.number("value")
        if "unit" in section and section.text("unit") != _UNIT[key]:
            stated = section.text("unit")
            hint = unit_hint(key, stated, value)
            section.fail(
                f"{key} is stated in the wrong unit", "unit", found=stated, expected=_UNIT[key], hint=hint
            )
        check_range(key, value, section.where("value"))
        return value


def complete_document(path: Path, data: Table, lines: dict[str, int]) -> Table:
    """Fill in what a material file leaves out, if it says `complete = true`.

    Parameters
    ----------
    path : Path
        The file, for messages.
    data : dict
        Its content.
    lines : dict
        Line of each dotted key.

    Returns
    -------
    dict
        A complete document, as the parser of materials reads it; `data` itself where nothing is asked for.

    Raises
    ------
    MaterialError
        If a measurement that nothing replaces is missing, or those given contradict each other.
    """
    if "complete" not in data:
        return data
    top = Section(path, "", data, lines)
    given = {key: value for key, value in data.items() if key != "complete"}
    if not top.flag("complete"):
        return given
    draft = _Draft(path, lines, given, RULES[top.text("category", tuple(RULES))])
    for raw, curve in _RAW.items():
        if draft.has(raw) and draft.has(curve):
            draft.section(raw).fail(f"[{raw}] and [{curve}] state the same thing twice", hint="keep one")
    for key, relation in _RELATIONS.items():
        if not draft.has(key):
            draft.done[key] = relation(draft)
    _check_front(draft)
    return {**{key: value for key, value in given.items() if key not in _RAW}, **draft.done}


def _value(figures: tuple[float, float, float], unit: str, source: str, spread: str) -> Table:
    value, low, high = (float(f"{number:.4g}") for number in figures)
    made = {"value": value, "unit": unit, "kind": DERIVED, "source": source}
    return made | {"low": low, "high": high, "spread": spread} if low < high else made


def _curve(form: str, ends: tuple[float, float], spread: str, source: str, **keys: Any) -> Table:
    low, high = ends
    return {
        "form": form,
        **keys,
        "low": float(f"{low:.4g}"),
        "high": float(f"{high:.4g}"),
        "spread": spread,
        "kind": DERIVED,
        "source": source,
    }


def _porosity(draft: _Draft) -> Table:
    solid = draft.rules.solid_density
    if solid is None:
        draft.section("porosity")  # says that it is missing
    assert solid is not None
    density = draft.number("density")
    value, low, high = (1.0 - density / each for each in (solid.value, solid.low, solid.high))
    check_range("porosity", value, f"{draft.path}: porosity from [density]")
    source = f"1 - density / density of the solid; {solid.source}"
    spread = f"solid of {solid.low:g} to {solid.high:g} kg/m3; pores that are closed count as open"
    return _value((value, max(low, 0.001), high), "1", source, spread)


def _saturation(draft: _Draft) -> Table:
    value = WATER_DENSITY * draft.number("porosity")
    source = "1000 kg/m3 times porosity, all open pores full; spreads as porosity does"
    return _value((value, value, value), "kg/m3", source, "")


def _free_saturation(draft: _Draft) -> Table:
    saturation = draft.number("saturation")
    value, low, high = FREE_SHARE.scaled(saturation)
    source = f"{FREE_SHARE.value:g} of saturation; {FREE_SHARE.source}"
    spread = f"{FREE_SHARE.low:g} to {FREE_SHARE.high:g} of saturation, the ends of those figures"
    return _value((value, low, high), "kg/m3", source, spread)


def _specific_heat(draft: _Draft) -> Table:
    figure = draft.rules.specific_heat
    source = f"by category: {figure.source}"
    return _value((figure.value, figure.low, figure.high), "J/(kg K)", source, "the ends of those figures")


def _storage(draft: _Draft) -> Table:
    section = draft.section("sorption")
    humidity = _humidities(section)
    by_mass = "water_mass_percent" in section
    key = "water_mass_percent" if by_mass else "water_content_kg_m3"
    stated = section.numbers(key)
    if len(stated) != len(humidity):
        section.fail("the lists of [sorption] differ in length", found=(len(humidity), len(stated)))
    factor = draft.number("density") / 100.0 if by_mass else 1.0
    water = [value * factor for value in stated]
    free = draft.number("free_saturation")
    room = min(free * phi / w if w > 0.0 else 0.0 for phi, w in zip(humidity, water, strict=True))
    if room <= 1.0:
        section.fail(
            "a sorption point must lie between dry and the straight line to free saturation",
            key,
            found=list(stated),
            expected=f"above 0 and below {free:g} kg/m3 times relative humidity",
            hint="is it in the other unit, percent by mass or kg/m3?",
        )
    # The hyperbola has one parameter: one point fixes it, several are better passed through one by one.
    single = len(humidity) == 1
    at_80 = _water_at(STORAGE_SPREAD_HUMIDITY, humidity, water, free)
    ends = at_80 * STORAGE_SPREAD[0], at_80 * min(STORAGE_SPREAD[1], 1.0 + 0.8 * (room - 1.0))
    origin = section.origin("", at_80)
    section.finish()
    how = "hyperbola through the point" if single else "monotone cubic through the points"
    source = f"{how} of [sorption] ({origin.source}) up to free saturation; form of Kuenzel 1995"
    keys = {"relative_humidity_percent": [100.0 * phi for phi in humidity], key: list(stated)}
    if origin.low is not None and origin.high is not None:
        why = origin.spread or "as [sorption] states it"
        return _curve("hyperbolic" if single else "points", (origin.low, origin.high), why, source, **keys)
    return _curve("hyperbolic" if single else "points", ends, STORAGE_SPREAD[2], source, **keys)


def _humidities(section: Section) -> tuple[float, ...]:
    percent = section.numbers("relative_humidity_percent", "%")
    if max(percent) <= 1.0:
        section.fail(
            "relative humidity looks like a fraction",
            "relative_humidity_percent",
            found=list(percent),
            expected="percent",
            hint=f"write {[100.0 * each for each in percent]}",
        )
    if min(percent) <= 0.0 or max(percent) >= 100.0:
        section.fail("0 % and 100 % are understood and not listed", "relative_humidity_percent")
    return tuple(each / 100.0 for each in percent)


def _water_at(at: float, humidity: Sequence[float], water: Sequence[float], free: float) -> float:
    curve: StorageCurve
    if len(humidity) == 1:
        curve = HyperbolicStorage.through(free, humidity, water)
    else:
        curve = MeasuredPoints.from_humidity(humidity, water, free)
    return float(curve.water_content(suction_at_reference(np.array([at])))[0])


def _liquid(draft: _Draft) -> Table:
    if not draft.has("absorption_coefficient"):
        draft.section("density").fail(
            "nothing says how liquid water moves",
            expected="a section [absorption_coefficient], or [liquid] with form = 'none'",
        )
    source = "diffusivity from A_w and free saturation, Kuenzel 1995"
    return _curve("absorption", LIQUID_SPREAD[:2], LIQUID_SPREAD[2], source)


def _vapour(draft: _Draft) -> Table:
    section = draft.section("cups")
    dry = section.number("dry_cup") if "dry_cup" in section else None
    wet = section.number("wet_cup") if "wet_cup" in section else None
    if dry is None and wet is None:
        section.fail("[cups] states neither dry_cup nor wet_cup", expected="at least one, as mu")
    for key, value in (("dry_cup", dry), ("wet_cup", wet)):
        if value is not None and value < 1.0:
            section.fail(
                "no material lets more vapour through than still air",
                key,
                found=value,
                expected="a resistance factor mu of 1 or more",
                hint="a permeability in kg/(m s Pa) is 2e-10 divided by mu",
            )
    text = ""
    if dry is None or wet is None:
        share = WET_SHARE.value
        text = f"; the other cup by wet over dry {share:g} ({WET_SHARE.low:g} to {WET_SHARE.high:g}), "
        text += WET_SHARE.source
        dry = max(wet / share, 1.0) if dry is None and wet is not None else dry
        wet = max(dry * share, 1.0) if wet is None and dry is not None else wet
    assert dry is not None
    assert wet is not None
    if wet > dry:
        section.fail(
            "the wet cup resists more than the dry cup",
            "wet_cup",
            found=wet,
            expected=f"at most the dry cup's {dry:g}",
            hint="are the two swapped?",
        )
    (low_end, high_end), how = solve_cups(dry, wet)
    middle = 2.0 / (1.0 / low_end + 1.0 / high_end)  # the form's mu at 50 %
    origin = section.origin("", middle)
    section.finish()
    ends, why = (middle * VAPOUR_SPREAD[0], middle * VAPOUR_SPREAD[1]), VAPOUR_SPREAD[2]
    if origin.low is not None and origin.high is not None:
        ends, why = (origin.low, origin.high), origin.spread or "as [cups] states it"
    source = f"[cups] ({origin.source}){text}; {how}"
    return _curve("cups", ends, why, source, dry_cup=low_end, wet_cup=high_end)


def _heat(draft: _Draft) -> Table:
    dry, free = draft.number("conductivity_dry"), draft.number("free_saturation")
    figure = draft.rules.growth
    growth, low, high = figure.scaled(dry if draft.rules.growth_is_share else 1.0)
    wet = dry + growth * free
    spread = ((dry + low * free) / wet, (dry + high * free) / wet)
    return _curve(
        "linear",
        spread,
        "on conductivity at free saturation, the ends of those figures",
        f"growth lent: {figure.source}",
        growth_per_kg_m3=float(f"{growth:.4g}"),
    )


def _mould_sensitivity(draft: _Draft) -> Table:
    return {"value": draft.rules.sensitivity, "kind": DERIVED, "source": draft.rules.mould_source}


def _mould_decline(draft: _Draft) -> Table:
    return {"value": draft.rules.decline, "kind": DERIVED, "source": draft.rules.mould_source}


def _check_front(draft: _Draft) -> None:
    """Refuse a coefficient that would carry water through a wall within minutes."""
    if not draft.has("absorption_coefficient"):
        return
    absorption, free = draft.number("absorption_coefficient"), draft.number("free_saturation")
    if absorption > FASTEST_FRONT * free:
        draft.section("absorption_coefficient").fail(
            "water would rise through this material faster than through any known stone",
            "value",
            found=absorption,
            expected=f"at most {FASTEST_FRONT * free:.2g} kg/(m2 s^0.5) for its free saturation",
            hint=f"if {absorption:g} is per square root of a minute, write {absorption / 60**0.5:.3g}; "
            f"if per square root of an hour, {absorption / 60:.3g}",
        )


_UNIT: Final = {
    "density": "kg/m3",
    "conductivity_dry": "W/(m K)",
    "porosity": "1",
    "saturation": "kg/m3",
    "free_saturation": "kg/m3",
    "absorption_coefficient": "kg/(m2 s^0.5)",
}

_RAW: Final = {"sorption": "storage", "cups": "vapour"}
"""Sections of measurements, and the curve each leads to."""

_RELATIONS: Final[dict[str, Callable[[_Draft], Table]]] = {
    "porosity": _porosity,
    "saturation": _saturation,
    "free_saturation": _free_saturation,
    "specific_heat": _specific_heat,
    "storage": _storage,
    "liquid": _liquid,
    "vapour": _vapour,
    "heat": _heat,
    "mould_sensitivity": _mould_sensitivity,
    "mould_decline": _mould_decline,
}
"""In the order in which one leans on another."""
