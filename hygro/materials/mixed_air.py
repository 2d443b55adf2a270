"""Still air as a part of a mixed layer: what lies between dabs of adhesive or between battens."""

from __future__ import annotations

import numpy as np

from hygro.errors import MaterialError
from hygro.materials.material import Material
from hygro.materials.sources import Kind, Source
from hygro.materials.storage import humidity_at_reference
from hygro.physics.typing import FloatArray

STILL_AIR = "still-air"
"""How a case file calls it."""

THICKNESSES = (0.0, 0.005, 0.007, 0.010, 0.015, 0.025, 0.300)
RESISTANCES = (0.0, 0.11, 0.13, 0.15, 0.17, 0.18, 0.18)
"""Unventilated air layers with ordinary surfaces, horizontal heat flow [m], [m2 K/W]: ISO 6946, as reproduced
in University of Iceland building-physics texts; linear in between."""

_DENSITY = 5.0
_HELD = 0.02

_SOURCES: tuple[tuple[str, str, str, Kind], ...] = (
    ("density", "5 kg/m3", "the least a material may have here; air has 1.2", "derived"),
    ("specific_heat", "1008 J/(kg K)", "dry air, EN ISO 10456", "published"),
    ("porosity", "0.998", "all of it is open", "derived"),
    ("saturation", "998 kg/m3", "1000 kg/m3 times porosity: condensate stays in the gap", "derived"),
    ("free_saturation", "0.02 kg/m3", "vapour in saturated air at 22 degC, rounded", "derived"),
    ("storage", "proportional", "vapour content of air follows its humidity", "derived"),
    ("liquid", "none", "no capillary crosses a gap", "derived"),
    ("vapour", "1", "still air by definition; convection in the gap would carry more", "derived"),
    ("heat", "constant", "vapour in the air does not change it noticeably", "derived"),
)  # fmt: skip


def _vapour_held(suction: FloatArray) -> FloatArray:
    """Vapour in the air [kg/m3] at a suction [Pa]."""
    return _HELD * humidity_at_reference(suction)


def still_air(thickness: float) -> Material:
    """Make the material of an unventilated air layer.

    Parameters
    ----------
    thickness : float
        Across the layer [m], at most 0.3.

    Returns
    -------
    Material
        Its conductivity is thickness over resistance, so it holds for that thickness only.

    Raises
    ------
    MaterialError
        The gap is wider than ISO 6946 has a resistance for.
    """
    if not 0.0 < thickness <= THICKNESSES[-1]:
        raise MaterialError(
            "there is no resistance of an air layer of this thickness",
            found=1000.0 * thickness,
            expected="more than 0 and at most 300 mm",
        )
    resistance = float(np.interp(thickness, THICKNESSES, RESISTANCES))
    conductivity = thickness / resistance
    said = Source(
        "conductivity_dry",
        f"{conductivity:.4g} W/(m K)",
        f"{1000 * thickness:g} mm over {resistance:.3g} m2 K/W, ISO 6946, unventilated, horizontal heat flow",
        "published",
    )
    return Material.from_curves(
        name=STILL_AIR,
        title=f"Still air, {1000 * thickness:g} mm",
        category="air",
        density=_DENSITY,
        specific_heat=1008.0,
        conductivity_dry=conductivity,
        porosity=0.998,
        free_saturation=_HELD,
        storage=_vapour_held,
        sources=(said, *(Source(*line) for line in _SOURCES)),
        mould_sensitivity="resistant",
        mould_decline="strong",
    )
