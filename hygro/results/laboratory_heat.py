"""Thermal conductivity, dry and wet."""

from __future__ import annotations

from typing import Final

import numpy as np

from hygro.constants import REFERENCE_TEMPERATURE, SECONDS_PER_HOUR
from hygro.materials import Material
from hygro.materials.storage import suction_at_reference
from hygro.materials.tables import LOG_SUCTION
from hygro.model.boundary import fixed_boundary
from hygro.results.laboratory_bench import LabResult, run, sealed, specimen, without_liquid

THICKNESS: Final = 0.05
"""Of the specimen between the two plates [m]."""

PLATE_DIFFERENCE: Final = 10.0
"""Between the two plates, mean 20 degC [K]."""

HOURS: Final = 480
"""Long past rest: a disturbance of 50 mm of soft board (1e-7 m2/s) sinks to 1/e in under an hour."""

CONDUCTIVITY_ALLOWED: Final = 0.005
"""Greatest share by which a simulated conductivity may differ: the table between its nodes."""

DRIEST: Final = 1.0e10
"""Suction of an oven-dry specimen [Pa], the driest the tables know."""


def conductivity(material: Material) -> list[LabResult]:
    """Measure thermal conductivity between two plates: dry, at 80 % humidity and at free saturation.

    Parameters
    ----------
    material : Material
        To test.

    Returns
    -------
    list of LabResult
        Water stays where it is: the specimen is sealed and nothing evaporates inside, so that the number is
        that of the curve and not of what moves.
    """
    still = without_liquid(sealed(material))
    states = (("dry", DRIEST), ("at 80 % RH", _suction(0.8)), ("at free saturation", 1.0))
    results = []
    for name, suction in states:
        water = float(np.interp(np.log10(suction), LOG_SUCTION, material.table().water_content))
        stated = float(material.heat.conductivity(np.array([water]))[0])
        results.append(
            LabResult.of(
                "thermal conductivity",
                name,
                "W/(m K)",
                _measure(still, suction),
                stated=stated,
                note=f"plates at 25 and 15 degC, {1000 * THICKNESS:g} mm, {water:.3g} kg/m3, water at rest",
                allowed=CONDUCTIVITY_ALLOWED,
            )
        )
    return results


def _suction(humidity: float) -> float:
    return float(suction_at_reference(np.array(humidity)))


def _measure(material: Material, suction: float) -> float:
    half = PLATE_DIFFERENCE / 2.0
    layer = specimen(material, THICKNESS, suction=suction)
    warm, cool = (
        fixed_boundary(temperature=REFERENCE_TEMPERATURE + shift, suction=suction, hours=24)
        for shift in (half, -half)
    )
    course = run(layer, warm, cool, HOURS, every=HOURS)
    flow = float(np.mean(course.heat[-24:, 0] - course.heat[-24:, 1])) / 2.0 / SECONDS_PER_HOUR
    return flow * THICKNESS / PLATE_DIFFERENCE
