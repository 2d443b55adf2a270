"""Water uptake and drying."""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

from hygro.constants import EVAPORATION_ENTHALPY, HOURS_PER_YEAR, REFERENCE_TEMPERATURE, SECONDS_PER_HOUR
from hygro.errors import SolverError
from hygro.materials import Material
from hygro.materials.plausibility import uptake_estimate
from hygro.materials.storage import suction_at_reference
from hygro.model.boundary import constant_boundary, fixed_boundary
from hygro.physics import moist_air
from hygro.results.laboratory_bench import Course, LabResult, moves_liquid, run, sealed, specimen

DRY = 1.0e9
"""Suction of an oven-dry specimen [Pa]: a relative humidity of 0.06 %."""

UPTAKE_ALLOWED = 0.05
"""Greatest share by which simulated and stated A_w may differ.

The law of Kuenzel 1995 itself gives 0.85 % more than it is fed; the rest leaves room for what scatters among
specimens of one brick and is far above the error of the cells (0.3 %).
"""

FRONT_DEPTH = 0.05
"""Depth the wetting front should pass through in an uptake test [m]."""

LONGEST_UPTAKE = 24
"""Hours; ISO 15148 ends after a day."""

DRYING_THICKNESS = 0.05
"""Of the specimen that dries through one face [m]."""

AIR_HUMIDITY, HEAT_COEFFICIENT, VAPOUR_COEFFICIENT = 0.5, 20.0, 1.4e-7
"""Air stream of the drying test [1], [W/(m2 K)], [kg/(m2 s Pa)] (7e-9 times the heat coefficient)."""

FIRST_STAGE = 0.9
"""The first stage lasts as long as drying goes at this share of the rate of a free wet surface."""

LEFT = 0.1
"""Share of the water that can leave which is left at the end of the drying test."""

LONGEST_DRYING = 3 * HOURS_PER_YEAR
"""Hours after which a drying test is broken off."""

FIRST_STAGE_ALLOWED = 0.01
"""Greatest share by which the first-stage rate may differ from that of a free wet surface: pores at a suction
of 1 MPa stand over 99.3 % humidity."""

COOLED = slice(9, 12)
"""Hours whose mean is the first-stage rate: the specimen has cooled to the wet bulb by then."""

STEADY_STAGE = 48
"""Hours that the first stage must last for its rate to be judged; shorter ones are falling already."""


def uptake(material: Material) -> list[LabResult]:
    """Test water uptake from a free surface: slope of the mass gained over the root of time.

    Parameters
    ----------
    material : Material
        To test.

    Returns
    -------
    list of LabResult
        From oven-dry with vapour shut out, which is what the liquid curve stands for; and as a laboratory
        does it, from 50 % relative humidity with vapour at work, for information.
    """
    if not moves_liquid(material):
        note = "no liquid moves in this material"
        return [LabResult.of("water uptake", "A_w", "kg/(m2 s^0.5)", None, note=note)]
    estimate = uptake_estimate(material, DRY)
    stated = material.absorption_coefficient or estimate
    hours = int(
        np.clip(np.ceil((FRONT_DEPTH * material.free_saturation / estimate) ** 2 / 3600.0), 4, LONGEST_UPTAKE)
    )
    conditions = f"20 degC, {hours} h"
    if material.absorption_coefficient is None:
        conditions += "; none stated, beside it what the liquid curve lets expect (Brutsaert 1976)"
    try:
        dry = _slope(sealed(material), estimate, hours, DRY)
        damp = _slope(material, estimate, hours, float(suction_at_reference(np.array(0.5))))
    except SolverError as failure:
        note = f"cannot be simulated: {failure.found}"
        return [
            LabResult.of(
                "water uptake",
                "A_w",
                "kg/(m2 s^0.5)",
                None,
                stated=stated,
                note=note,
                allowed=UPTAKE_ALLOWED,
            )
        ]
    return [
        LabResult.of(
            "water uptake",
            "A_w",
            "kg/(m2 s^0.5)",
            dry,
            stated=stated,
            note=f"from oven-dry, vapour shut out, {conditions}",
            allowed=UPTAKE_ALLOWED,
        ),
        LabResult.of(
            "water uptake, conditioned",
            "A_w",
            "kg/(m2 s^0.5)",
            damp,
            stated=stated,
            note=f"from 50 % RH, vapour at work, {conditions}",
        ),
    ]


def _slope(material: Material, estimate: float, hours: int, start: float) -> float:
    """Slope over the root of time, the first quarter of the time left out."""
    depth = 6.0 * estimate * np.sqrt(SECONDS_PER_HOUR * hours) / material.free_saturation
    course = run(
        specimen(material, depth, suction=start),
        fixed_boundary(temperature=REFERENCE_TEMPERATURE, suction=1.0, hours=hours),
        fixed_boundary(temperature=REFERENCE_TEMPERATURE, suction=start, hours=hours),
        hours,
        scale=0.25,
        every=hours,
    )
    gained = np.concatenate([[0.0], np.cumsum(course.entered[:, 0])])
    root = np.sqrt(SECONDS_PER_HOUR * np.arange(hours + 1))
    kept = slice(hours // 4, None)
    return float(np.polyfit(root[kept], gained[kept], 1)[0])


def wet_bulb(temperature: float, humidity: float) -> tuple[float, float]:
    """Find temperature and evaporation of a free wet surface in the air stream, its back shut to heat.

    Parameters
    ----------
    temperature : float
        Of the air [K].
    humidity : float
        Of the air [1].

    Returns
    -------
    temperature : float
        [K]
    rate : float
        [kg/(m2 s)]
    """
    air = humidity * float(moist_air.saturation_pressure(temperature))

    def rate(surface: float) -> float:
        return VAPOUR_COEFFICIENT * (float(moist_air.saturation_pressure(surface)) - air)

    surface = brentq(
        lambda t: HEAT_COEFFICIENT * (temperature - t) - EVAPORATION_ENTHALPY * rate(t), 250.0, temperature
    )
    return float(surface), rate(surface)


def drying(material: Material) -> list[LabResult]:
    """Dry a specimen from capillary saturation through one face.

    Parameters
    ----------
    material : Material
        To test.

    Returns
    -------
    list of LabResult
        Rate and length of the first stage, which goes as from a free wet surface, and the time until a tenth
        of the water that can leave is left.
    """
    course, hours = _dried(material)
    free = wet_bulb(REFERENCE_TEMPERATURE, AIR_HUMIDITY)[1] * SECONDS_PER_HOUR
    rate = -course.entered[:, 0]
    # In the first hours the specimen is warmer than the wet bulb and dries faster.
    slower = np.flatnonzero(rate < FIRST_STAGE * free)
    length = int(slower[0]) if slower.size else len(rate)
    conditions = (
        f"{1000 * DRYING_THICKNESS:g} mm, one face, air 20 degC and {100 * AIR_HUMIDITY:g} % RH, "
        f"heat coefficient {HEAT_COEFFICIENT:g} W/(m2 K)"
    )
    unit = "kg/(m2 h)"
    if length >= COOLED.stop:
        first = LabResult.of(
            "drying",
            "first-stage rate",
            unit,
            float(rate[COOLED].mean()),
            stated=free,
            note=f"hours 10 to 12; stated: free wet surface at its wet bulb; {conditions}",
            allowed=FIRST_STAGE_ALLOWED if length >= STEADY_STAGE else None,
        )
    else:
        first = LabResult.of(
            "drying", "first-stage rate", unit, None, stated=free, note="the surface dries within half a day"
        )
    end = LabResult.of(
        "drying", "end of first stage", "h", float(length), note=f"until {100 * FIRST_STAGE:g} % of that rate"
    )
    note = f"until {100 * LEFT:g} % of the water that can leave is left"
    days = None if hours is None else hours / 24.0
    if days is None:
        note += f"; not reached in {LONGEST_DRYING // HOURS_PER_YEAR} years"
    return [first, end, LabResult.of("drying", "time to dry", "d", days, note=note)]


def _dried(material: Material) -> tuple[Course, float | None]:
    """Dry until the water is gone, in tries that double; return the last course and the hours it took."""
    stream = constant_boundary(
        hours=24,
        temperature=REFERENCE_TEMPERATURE,
        relative_humidity=AIR_HUMIDITY,
        heat_coefficient=HEAT_COEFFICIENT,
        vapour_coefficient=VAPOUR_COEFFICIENT,
    )
    shut = constant_boundary(
        hours=24,
        temperature=REFERENCE_TEMPERATURE,
        relative_humidity=AIR_HUMIDITY,
        heat_coefficient=1e-6,
        vapour_coefficient=0.0,
    )
    rest = float(material.water_content(AIR_HUMIDITY))
    hours = 24 * 45
    while True:
        course = run(specimen(material, DRYING_THICKNESS), stream, shut, hours, every=6)
        left = (course.water - rest) / (course.water[0] - rest)
        if left[-1] <= LEFT:
            at = course.solution.field_hours
            return course, float(np.interp(-LEFT, -left, at))
        if hours >= LONGEST_DRYING:
            return course, None
        hours = min(4 * hours, LONGEST_DRYING)
