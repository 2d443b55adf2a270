"""The curve forms a material file may name, each read from its section."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import numpy as np

from hygro.materials.heat import ConductivityPoints, ExponentialConductivity, HeatCurve, LinearConductivity
from hygro.materials.liquid import (
    AbsorptionDiffusivity,
    ConductivityTable,
    DiffusivityTable,
    ExponentialPolynomial,
    LiquidCurve,
    NoLiquid,
)
from hygro.materials.measured import MeasuredPoints
from hygro.materials.section import Section
from hygro.materials.storage import (
    HyperbolicStorage,
    LogarithmicStorage,
    PoreClasses,
    StorageCurve,
    suction_at_reference,
)
from hygro.materials.vapour import CupResistance, PoreAirResistance, ResistanceTable, VapourCurve

Scalars = dict[str, float]
"""The scalar values of the material, by their key; curves may lean on them."""

Curve = TypeVar("Curve")


def read_form(
    section: Section, forms: dict[str, Callable[[Section, Scalars], Curve]], scalars: Scalars
) -> Curve:
    """Read a curve section.

    Parameters
    ----------
    section : Section
        With the key `form`.
    forms : dict
        One of `STORAGE`, `LIQUID`, `VAPOUR`, `HEAT`.
    scalars : dict
        Scalar values of the material.

    Raises
    ------
    MaterialError
        If the form or a key is unknown or a value is not usable.
    """
    form = section.text("form", tuple(forms))
    return forms[form](section, scalars)


def _percent(section: Section, key: str) -> tuple[float, ...]:
    values = section.numbers(key, "%")
    if min(values) < 0.0 or max(values) > 100.0:
        section.fail(f"{key} lies outside 0 to 100", key, found=list(values))
    return tuple(value / 100.0 for value in values)


def _water(section: Section, scalars: Scalars, prefix: str = "") -> tuple[float, ...]:
    by_mass = f"{prefix}water_mass_percent"
    if by_mass in section:
        return tuple(value / 100.0 * scalars["density"] for value in section.numbers(by_mass, "%"))
    return section.numbers(f"{prefix}water_content_kg_m3", "kg/m3")


def _pairs(section: Section, first: tuple[float, ...], second: tuple[float, ...], what: str) -> None:
    if len(first) != len(second):
        section.fail(
            f"the lists of [{section.name}] differ in length ({what})", found=(len(first), len(second))
        )


def _points(section: Section, scalars: Scalars) -> StorageCurve:
    suction: list[float] = []
    water: list[float] = []
    if "relative_humidity_percent" in section:
        humidity = np.array(_percent(section, "relative_humidity_percent"))
        contents = _water(section, scalars)
        _pairs(section, tuple(humidity), contents, "humidity and water")
        if humidity.min() <= 0.0 or humidity.max() >= 1.0:
            section.fail("0 % and 100 % are understood and not listed", "relative_humidity_percent")
        suction += [float(value) for value in suction_at_reference(humidity)]
        water += contents
    if "suction_Pa" in section:
        pressures, contents = section.numbers("suction_Pa", "Pa"), _water(section, scalars, "suction_")
        _pairs(section, pressures, contents, "suction and water")
        suction += pressures
        water += contents
    if not suction:
        section.fail("the storage curve has no points", expected="relative_humidity_percent or suction_Pa")
    return MeasuredPoints(tuple(suction), tuple(water), scalars["free_saturation"])


def _pore_classes(section: Section, scalars: Scalars) -> StorageCurve:
    n = section.numbers("n")
    m = section.numbers("m") if "m" in section else tuple(1.0 - 1.0 / value for value in n)
    weights, alphas = section.numbers("weights"), section.numbers("alpha_1_Pa", "1/Pa")
    top = section.text("top", ("saturation", "free_saturation"))
    return PoreClasses(scalars[top], weights, alphas, n, m)


def _logarithmic(section: Section, scalars: Scalars) -> StorageCurve:
    return LogarithmicStorage(scalars["free_saturation"], section.number("a"), section.number("b"))


def _hyperbolic(section: Section, scalars: Scalars) -> StorageCurve:
    humidity = _percent(section, "relative_humidity_percent")
    return HyperbolicStorage.through(scalars["free_saturation"], humidity, _water(section, scalars))


def _no_liquid(section: Section, scalars: Scalars) -> LiquidCurve:
    return NoLiquid()


def _absorption(section: Section, scalars: Scalars) -> LiquidCurve:
    if "absorption_coefficient" not in scalars:
        section.fail("the form 'absorption' needs a section [absorption_coefficient]", "form")
    return AbsorptionDiffusivity(scalars["absorption_coefficient"], scalars["free_saturation"])


def _conductivity_table(section: Section, scalars: Scalars) -> LiquidCurve:
    return ConductivityTable(section.numbers("suction_Pa"), section.numbers("conductivity_kg_msPa"))


def _exponential_polynomial(section: Section, scalars: Scalars) -> LiquidCurve:
    scale = {"kg/m3": 1.0, "m3/m3": 1e-3}[section.text("water_unit", ("kg/m3", "m3/m3"))]
    centre = section.number("centre") if "centre" in section else 0.0
    return ExponentialPolynomial(section.numbers("coefficients"), centre, scale)


def _diffusivity_table(section: Section, scalars: Scalars) -> LiquidCurve:
    return DiffusivityTable(section.numbers("water_content_kg_m3"), section.numbers("diffusivity_m2_s"))


def _constant_diffusivity(section: Section, scalars: Scalars) -> LiquidCurve:
    return DiffusivityTable((0.0,), (section.number("diffusivity_m2_s", "m2/s"),))


def _constant_resistance(section: Section, scalars: Scalars) -> VapourCurve:
    return ResistanceTable((0.0,), (section.number("resistance_factor"),))


def _resistance_table(section: Section, scalars: Scalars) -> VapourCurve:
    humidity = _percent(section, "relative_humidity_percent")
    return ResistanceTable(humidity, section.numbers("resistance_factor"))


def _cups(section: Section, scalars: Scalars) -> VapourCurve:
    return CupResistance(section.number("dry_cup"), section.number("wet_cup"))


def _pore_air(section: Section, scalars: Scalars) -> VapourCurve:
    return PoreAirResistance(section.number("resistance_factor"), section.number("p"), scalars["saturation"])


def _constant_heat(section: Section, scalars: Scalars) -> HeatCurve:
    return LinearConductivity(scalars["conductivity_dry"])


def _linear_heat(section: Section, scalars: Scalars) -> HeatCurve:
    return LinearConductivity(scalars["conductivity_dry"], section.number("growth_per_kg_m3", "W m2/(kg K)"))


def _mass_percent_heat(section: Section, scalars: Scalars) -> HeatCurve:
    growth = section.number("growth_percent_per_mass_percent", "% per % by mass")
    return LinearConductivity(
        scalars["conductivity_dry"], scalars["conductivity_dry"] * growth / scalars["density"]
    )


def _heat_table(section: Section, scalars: Scalars) -> HeatCurve:
    water = section.numbers("water_content_kg_m3")
    return ConductivityPoints(water, section.numbers("conductivity_W_mK"))


def _exponential_heat(section: Section, scalars: Scalars) -> HeatCurve:
    factor, up_to = section.number("factor"), section.number("up_to_kg_m3", "kg/m3")
    return ExponentialConductivity(scalars["conductivity_dry"], factor, up_to)


STORAGE: dict[str, Callable[[Section, Scalars], StorageCurve]] = {
    "points": _points,
    "pore classes": _pore_classes,
    "logarithmic": _logarithmic,
    "hyperbolic": _hyperbolic,
}

LIQUID: dict[str, Callable[[Section, Scalars], LiquidCurve]] = {
    "none": _no_liquid,
    "absorption": _absorption,
    "conductivity table": _conductivity_table,
    "exponential polynomial": _exponential_polynomial,
    "diffusivity table": _diffusivity_table,
    "constant diffusivity": _constant_diffusivity,
}

VAPOUR: dict[str, Callable[[Section, Scalars], VapourCurve]] = {
    "constant": _constant_resistance,
    "table": _resistance_table,
    "cups": _cups,
    "pore air": _pore_air,
}

HEAT: dict[str, Callable[[Section, Scalars], HeatCurve]] = {
    "constant": _constant_heat,
    "linear": _linear_heat,
    "mass percent": _mass_percent_heat,
    "table": _heat_table,
    "exponential": _exponential_heat,
}
