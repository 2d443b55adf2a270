"""Cups and sorption."""

from __future__ import annotations

from typing import Final

import numpy as np

from hygro.constants import REFERENCE_TEMPERATURE, SECONDS_PER_HOUR
from hygro.materials import Material
from hygro.materials.completion_cups import DRY_CUP, WET_CUP
from hygro.materials.storage import humidity_at_reference
from hygro.materials.vapour import CupResistance
from hygro.model.boundary import fixed_boundary
from hygro.physics import moist_air
from hygro.results.laboratory_bench import (
    LabResult,
    hours_to_settle,
    moves_liquid,
    run,
    specimen,
    without_liquid,
)

CUP_TEMPERATURE: Final = 296.15
"""23 degC [K]; ISO 12572."""

DESICCANT: Final = 1.0e-4
"""Relative humidity that stands for 0 % [1]."""

CUP_ALLOWED: Final = 0.005
"""Greatest share by which a simulated cup may differ from the mean of the material's own curve: cells, and
the curve taken at the humidity of a face between two of them."""

CUP_THICKNESSES: Final = (0.02, 0.005, 0.001)
"""Of the specimen [m]; the first in which vapour comes to rest within `LONGEST_CUP`."""

CUP_SCALE: Final = 0.25
"""Factor on the default cells: across a steep curve a cell must not span much of it."""

LONGEST_CUP: Final = 10_000
"""Hours."""

SORPTION_HUMIDITIES: Final = (0.3, 0.5, 0.8, 0.93, 0.97)
"""Relative humidities of the sorption test [1], passed through one after the other."""

SORPTION_THICKNESS: Final = 0.002
"""Of the specimen, open on both faces [m]."""

SORPTION_ALLOWED: Final = 0.01
"""Greatest share by which equilibrium and curve may differ: what a balance misses of a nearly dry specimen;
the solver's table alone keeps to 1e-4 of free saturation a decade."""


def mean_resistance(material: Material, humidity: tuple[float, float]) -> float:
    """Resistance factor that a cup shows by the material's own curve: mean of 1/mu between two humidities.

    Parameters
    ----------
    material : Material
        Of what.
    humidity : (float, float)
        On the two faces [1].

    Returns
    -------
    float
        mu [1] at 23 degC.
    """
    edges = np.linspace(max(humidity[0], DESICCANT), humidity[1], 2001)
    # Curves are held over suction, so at 23 degC their humidities lie up to 0.4 % RH lower than at 20 degC.
    suction = moist_air.suction(0.5 * (edges[1:] + edges[:-1]), np.array(CUP_TEMPERATURE))
    water = np.minimum(material.storage.water_content(suction), material.free_saturation)
    resistance = material.vapour.resistance_factor(humidity_at_reference(suction), water)
    return float(1.0 / np.mean(1.0 / resistance))


def cups(material: Material) -> list[LabResult]:
    """Test vapour resistance with the dry cup (0 and 50 %) and the wet cup (50 and 93 %), 23 degC.

    Parameters
    ----------
    material : Material
        To test.

    Returns
    -------
    list of LabResult
        Each with liquid kept from moving, which is what the vapour curve stands for; the wet cup once more as
        a laboratory sees it, with what moves as liquid in it, for information.
    """
    results = []
    for test, span in (("dry cup", DRY_CUP), ("wet cup", WET_CUP)):
        still = without_liquid(material)
        note = "23 degC, vapour alone; stated: mean of the vapour curve"
        if isinstance(material.vapour, CupResistance):
            dry = test == "dry cup"
            end = material.vapour.dry if dry else material.vapour.wet
            note += f", whose {'dry' if dry else 'humid'} end is {end:.4g}"
        stated = mean_resistance(material, span)
        simulated = _cup(still, span)
        results.append(
            LabResult.of(test, "mu", "1", simulated, stated=stated, note=note, allowed=CUP_ALLOWED)
        )
    if moves_liquid(material):
        total = _cup(material, WET_CUP)
        share = 1.0 - total / results[-1].simulated if results[-1].simulated else 0.0
        note = f"with liquid at work, which carries {100.0 * share:.0f} % of the flow"
        results.append(
            LabResult.of("wet cup, liquid at work", "mu", "1", total, stated=results[-1].stated, note=note)
        )
    return results


def _cup(material: Material, span: tuple[float, float]) -> float:
    """Resistance factor from the steady flow through a specimen."""
    low, high = max(span[0], DESICCANT), span[1]
    for thickness in CUP_THICKNESSES:
        hours = hours_to_settle(material, thickness, (low, high))
        if hours <= LONGEST_CUP:
            break
    course = run(
        specimen(material, thickness, humidity=0.5 * (low + high), temperature=CUP_TEMPERATURE),
        fixed_boundary(temperature=CUP_TEMPERATURE, relative_humidity=high, hours=24),
        fixed_boundary(temperature=CUP_TEMPERATURE, relative_humidity=low, hours=24),
        hours,
        scale=CUP_SCALE,
        every=hours,
    )
    flow = float(np.mean(course.entered[-24:, 0] - course.entered[-24:, 1])) / 2.0 / SECONDS_PER_HOUR
    pressure = (high - low) * float(moist_air.saturation_pressure(CUP_TEMPERATURE))
    air = float(moist_air.air_permeability(CUP_TEMPERATURE, *moist_air.PERMEABILITY_STANDARD))
    return air * pressure / (flow * thickness)


def sorption(material: Material) -> list[LabResult]:
    """Weigh a thin specimen in equilibrium with one humidity after the other, rising, at 20 degC.

    Parameters
    ----------
    material : Material
        To test.

    Returns
    -------
    list of LabResult
        Water content at each humidity beside what the storage curve says.
    """
    stay = hours_to_settle(material, SORPTION_THICKNESS, (0.01, SORPTION_HUMIDITIES[-1]))
    stay = min(stay, 3 * LONGEST_CUP)
    humidity = np.repeat(SORPTION_HUMIDITIES, stay)
    air = fixed_boundary(
        temperature=np.full(len(humidity), REFERENCE_TEMPERATURE), relative_humidity=humidity
    )
    course = run(
        specimen(material, SORPTION_THICKNESS, humidity=0.2), air, air, len(humidity), scale=1.0, every=stay
    )
    return [
        LabResult.of(
            "sorption",
            f"water content at {100.0 * phi:g} % RH",
            "kg/m3",
            float(held),
            stated=float(material.water_content(phi)),
            note=f"20 degC, {stay} h at each humidity, from 20 %",
            allowed=SORPTION_ALLOWED,
        )
        for phi, held in zip(SORPTION_HUMIDITIES, course.water[1:], strict=True)
    ]
