"""From sources, leaks, rain penetration and ventilated air layers of a case to what the solver takes."""

from __future__ import annotations

import numpy as np

from hygro.case.case import Case
from hygro.case.sources import LeakSection, RainPenetrationSection, SourceSection
from hygro.case.variants import LayerChoice, Variant
from hygro.constants import SECONDS_PER_HOUR, WATER_HEAT_CAPACITY, ZERO_CELSIUS
from hygro.errors import CaseError
from hygro.model.series import source_series
from hygro.model.sides import Sides
from hygro.model.wall import Source
from hygro.physics.air_flow import air_conductances, leakage, stack_pressure
from hygro.physics.typing import FloatArray


def sources_of(case: Case, variant: Variant, sides: Sides) -> tuple[Source, ...]:
    """Work out what the layers of a variant get from elsewhere.

    Parameters
    ----------
    case : Case
        A checked case.
    variant : Variant
        One of `case.variants()`; sources in layers that it does not have are none.
    sides : Sides
        Its boundaries.

    Returns
    -------
    tuple of Source

    Raises
    ------
    CaseError, ClimateError
        A file is not usable or not as long as the boundaries.
    """
    layers = [choice for choice in variant.layers if choice.material]
    index = {choice.name: k for k, choice in enumerate(layers)}
    found = [
        _air_layer(k, choice, sides) for k, choice in enumerate(layers) if choice.ventilated_per_hour > 0.0
    ]
    for number, given in enumerate(case.spec.source):
        if given.layer in index:
            k = index[given.layer]
            found.append(_distributed(case, number, given, k, _thickness(layers[k]), sides))
    found += [_leak(item, index[item.behind], sides) for item in case.spec.leak if item.behind in index]
    for rain in case.spec.rain_penetration:
        if rain.layer in index:
            k = index[rain.layer]
            found.append(_penetration(case, rain, k, _thickness(layers[k]), sides))
    return tuple(found)


def _thickness(choice: LayerChoice) -> float:
    assert choice.thickness_mm is not None
    return choice.thickness_mm / 1000.0


def passing_air(
    name: str,
    place: tuple[int, float, float],
    flow: FloatArray,
    temperature: FloatArray,
    vapour_pressure: FloatArray,
) -> Source:
    """Return the source that air makes which passes a layer.

    Parameters
    ----------
    name : str
        What messages call it.
    place : (int, float, float)
        Index of the layer, and range within it from its outer face [m].
    flow : array, shape (hours,)
        [m3/(m2 s)] at the temperature with which it comes.
    temperature, vapour_pressure : array, shape (hours,)
        With which it comes [K], [Pa].

    Returns
    -------
    Source
        The air leaves with temperature and vapour pressure of the layer.
    """
    heat_air, vapour_air = air_conductances(flow, temperature)
    vapour = vapour_air * vapour_pressure
    sensible = WATER_HEAT_CAPACITY * (temperature - ZERO_CELSIUS) * vapour
    heat = heat_air * temperature + sensible
    return Source(name, *place, heat, heat_air, vapour, vapour_air, np.zeros_like(heat))


def _given(name: str, place: tuple[int, float, float], heat: FloatArray, liquid: FloatArray) -> Source:
    """Make a source without air."""
    none = np.zeros_like(heat)
    return Source(name, *place, heat, none, none, none, liquid)


def _air_layer(k: int, choice: LayerChoice, sides: Sides) -> Source:
    """Air layer that outdoor air passes at so many changes an hour."""
    thickness = _thickness(choice)
    air = sides.external
    flow = np.full(len(air.temperature), choice.ventilated_per_hour * thickness / SECONDS_PER_HOUR)
    place = (k, 0.0, thickness)
    return passing_air(f"air in {choice.name}", place, flow, air.air_temperature, air.vapour_pressure)


def _leak(item: LeakSection, k: int, sides: Sides) -> Source:
    """Room air at the outer face of a layer; what happens on its way through the lining is left out."""
    room = sides.internal
    pressure = stack_pressure(item.height_m, sides.external.air_temperature, room.air_temperature)
    flow = leakage(item.air_permeability_m3_hm2_50Pa, item.exponent, pressure)
    name = f"leak behind {item.behind}"
    return passing_air(name, (k, 0.0, 0.0), flow, room.air_temperature, room.vapour_pressure)


def _penetration(case: Case, item: RainPenetrationSection, k: int, thickness: float, sides: Sides) -> Source:
    """Share of the driving rain on the wall, splash not deducted."""
    splash = case.spec.site.uptake_share if case.spec.external.kind == "climate" and case.spec.site else 1.0
    rain = sides.external.rain / splash if splash > 0.0 else sides.external.rain
    depth = item.depth_mm / 1000.0
    if depth > thickness:
        raise CaseError(
            f"the rain that gets into {item.layer!r} lies beyond its inner face",
            where=f"{case.path}, [[rain_penetration]]",
            found=f"depth_mm = {item.depth_mm:g}",
            expected=f"at most {1000.0 * thickness:g}",
        )
    place = (k, depth, depth)
    return _given(f"rain in {item.layer}", place, np.zeros_like(rain), item.share_percent / 100.0 * rain)


def _distributed(
    case: Case, number: int, item: SourceSection, k: int, thickness: float, sides: Sides
) -> Source:
    hours = len(sides.external.temperature)
    heat = np.full(hours, item.heat_W_m3 or 0.0)
    moisture = np.full(hours, item.moisture_kg_m3h or 0.0)
    if item.file is not None:
        series = source_series(case.file(item.file))
        if any(len(values) != hours for values in series.values()):
            raise case.source.error(
                ("source", number, "file"),
                "the file of a source is not as long as the boundaries",
                found=f"{len(next(iter(series.values())))} h",
                expected=f"{hours} h",
            )
        zero = np.zeros(hours)
        heat = np.roll(series.get("heat_W_m3", zero), -sides.shift)
        moisture = np.roll(series.get("moisture_kg_m3h", zero), -sides.shift)
    place = (k, 0.0, thickness)
    return _given(f"source in {item.layer}", place, thickness * heat, thickness * moisture / SECONDS_PER_HOUR)
