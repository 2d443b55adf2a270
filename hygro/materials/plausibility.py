"""What a practitioner would look at before believing a material: ratios and directions, one sentence each.

Nothing here is refused: files that contradict themselves do not load at all. A doubt says that the numbers
can stand together but seldom do.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from hygro.materials.completion import FASTEST_FRONT
from hygro.materials.material import Material
from hygro.materials.storage import suction_at_reference
from hygro.materials.tables import LOG_SUCTION
from hygro.physics.typing import FloatArray

MINERAL: Final = ("masonry", "mortar and plaster")
"""Categories whose pores are open and whose solid is stone."""

LIGHT: Final = 1000.0
"""Density below which pores are closed or grains not of stone: porosity lets judge nothing [kg/m3]."""

SOLID: Final = (1500.0, 3000.0)
"""Density of the solid of mineral materials [kg/m3]: gypsum 2300, quartz 2650, basalt up to 3000, light
grains with closed pores less; common practice, no published source."""

FREE_OF_FULL: Final = (0.4, 1.0)
"""Free saturation over saturation of mineral materials [1]: aerated concrete 0.48 is the lowest published
pair of `hygro.materials.completion_rules`."""

ESTIMATE_ALLOWED: Final = 0.04
"""Greatest share that a stated absorption coefficient may miss that of the liquid curve by [1]: the estimate
itself is 2.3 % too high where diffusivity does not depend on water, and closer where it rises."""

STEEPEST_CUPS: Final = {"board and timber": 60.0}
OTHER_CUPS: Final = 6.0
"""Dry over humid resistance factor [1]; between 30 and 90 % white pine has 1110/19, concrete 159/31 as the
steepest mineral (ASHRAE Handbook Fundamentals 2021, chapter 26, table 6)."""

WETTEST_FACTOR: Final = 5.0
"""Conductivity at free saturation over dry [1] above which a heavy mineral material is doubted; measured on
old brick 1.8 to 2.4 (Cabeza-Prieto et al. 2022), where a standard's estimate of 3.5 to 5.8 W/(m K) is too
high."""


@dataclass(frozen=True)
class Finding:
    """Outcome of one check.

    Parameters
    ----------
    check : str
        What was looked at.
    plausible : bool
        False for a doubt.
    sentence : str
        With the numbers.
    """

    check: str
    plausible: bool
    sentence: str


def uptake_estimate(material: Material, start: float = 1.0e10) -> float:
    """Water absorption coefficient that follows from the liquid curve alone.

    Parameters
    ----------
    material : Material
        To look at.
    start : float
        Suction before [Pa].

    Returns
    -------
    float
        A [kg/(m2 s^0.5)]; 0 where no liquid moves. A^2 = 2 (w_f - w_0)^0.5 times the integral of (w -
        w_0)^0.5 D dw from the start w_0; Brutsaert 1976, Water Resour. Res. 12, 1118-1124 (from memory,
        unconfirmed; 2.3 % above the exact answer where D is constant, closer where it rises).
    """
    table = material.table()
    water = table.water_content - np.interp(np.log10(start), LOG_SUCTION, table.water_content)
    water = np.clip(water, 0.0, material.free_saturation)
    steps, middle = -np.diff(table.flux_potential), 0.5 * (water[1:] + water[:-1])
    room = float(np.interp(0.0, LOG_SUCTION, water))
    return float(np.sqrt(2.0 * np.sum(steps * np.sqrt(room * np.minimum(middle, room)))))


def plausibility(material: Material) -> list[Finding]:
    """Check a material.

    Parameters
    ----------
    material : Material
        That has loaded.

    Returns
    -------
    list of Finding
        One per check that applies.

    Raises
    ------
    MaterialError
        If a curve cannot be tabulated.
    """
    return [
        *_pores(material),
        *_suction(material),
        _sorption(material),
        *_vapour(material),
        _heat(material),
    ]


def _pores(material: Material) -> list[Finding]:
    if material.category not in MINERAL or material.density < LIGHT:
        return []
    solid = material.density / (1.0 - material.porosity)
    share = material.free_saturation / material.saturation
    return [
        Finding(
            "solid",
            SOLID[0] <= solid <= SOLID[1],
            f"density {material.density:g} kg/m3 and porosity {material.porosity:g} mean a solid of "
            f"{solid:.0f} kg/m3",
        ),
        Finding(
            "free saturation",
            FREE_OF_FULL[0] <= share <= FREE_OF_FULL[1] + 1e-3,
            f"suction fills {100.0 * share:.0f} % of the open pores",
        ),
    ]


def _suction(material: Material) -> list[Finding]:
    estimate, stated = uptake_estimate(material), material.absorption_coefficient
    if estimate == 0.0:
        if not stated:
            return [Finding("water uptake", True, "no liquid moves")]
        return [Finding("water uptake", False, f"A_w {stated:g} is stated but no liquid moves")]
    hourly = 1000.0 * 60.0 * estimate / material.free_saturation
    findings = [
        Finding(
            "wetting front",
            estimate <= FASTEST_FRONT * material.free_saturation,
            f"from dry, water would come {hourly:.3g} mm far within an hour",
        )
    ]
    if stated:
        off = estimate / stated - 1.0
        findings.append(
            Finding(
                "water uptake",
                abs(off) <= ESTIMATE_ALLOWED,
                f"A_w {stated:g} stated, {estimate:.3g} kg/(m2 s^0.5) by the liquid curve",
            )
        )
    return findings


def _sorption(material: Material) -> Finding:
    points = {phi: float(material.water_content(phi)) for phi in (0.5, 0.8, 0.95)}
    rising = 0.0 < points[0.5] < points[0.8] < points[0.95] < material.free_saturation
    held = ", ".join(f"{water:.3g} at {100.0 * phi:g} %" for phi, water in points.items())
    mass = 100.0 * points[0.8] / material.density
    return Finding("sorption", rising and mass < 40.0, f"kg/m3 held: {held}; {mass:.2g} % by mass at 80 %")


def _vapour(material: Material) -> list[Finding]:
    phi = np.array([0.01, 0.3, 0.5, 0.8, 0.93])
    water: FloatArray = np.minimum(
        material.storage.water_content(suction_at_reference(phi)), material.free_saturation
    )
    mu = material.vapour.resistance_factor(phi, water)
    shown = f"mu {mu[1]:.4g} at 30 %, {mu[3]:.4g} at 80 %"
    ratio = float(mu[0] / mu[-1])
    steepest = STEEPEST_CUPS.get(material.category, OTHER_CUPS)
    return [
        Finding("still air", bool(mu.min() >= 1.0 - 1e-9), f"least mu is {mu.min():.3g}"),
        Finding("vapour and humidity", ratio <= steepest, f"{shown}, a fall by {ratio:.2g}"),
    ]


def _heat(material: Material) -> Finding:
    dry, wet = material.heat.conductivity(np.array([0.0, material.free_saturation]))
    factor = float(wet / dry)
    doubted = material.category in MINERAL and material.density >= LIGHT and factor > WETTEST_FACTOR
    return Finding(
        "conductivity",
        factor >= 1.0 and not doubted,
        f"{dry:.3g} W/(m K) dry, {factor:.2g} times that at free saturation",
    )
