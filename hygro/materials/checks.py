"""Whether the values of a material can all be true at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hygro.constants import WATER_DENSITY
from hygro.errors import MaterialError
from hygro.materials.completion_units import slip_hint

if TYPE_CHECKING:
    from hygro.materials.material import Material

RANGES = {
    "density": (5.0, 3500.0, "kg/m3"),
    "specific_heat": (400.0, 4000.0, "J/(kg K)"),
    "conductivity_dry": (0.005, 10.0, "W/(m K)"),
    "porosity": (0.001, 0.999, "1"),
    "saturation": (0.1, 999.0, "kg/m3"),
    "free_saturation": (1e-3, 999.0, "kg/m3"),
    "absorption_coefficient": (0.0, 3.0, "kg/(m2 s^0.5)"),
}
"""Least and greatest value of any building material, and the unit; beyond lies a slip of unit or point."""

DENSEST_SOLID = 3500.0
"""Density of the solid itself, without pores [kg/m3]; basalt and iron-bearing clays stay below."""

ROUNDING = 1.001
"""Published porosities carry two or three digits."""


def check_range(key: str, value: float | None, where: str) -> None:
    """Refuse a value that no building material has.

    Parameters
    ----------
    key : str
        One of `RANGES`.
    value : float or None
        In the unit that stands there; None is let through.
    where : str
        File and line, or name of the material.

    Raises
    ------
    MaterialError
        With value and range.
    """
    low, high, unit = RANGES[key]
    if value is not None and not low <= value <= high:
        raise MaterialError(
            f"{key} is not plausible",
            where=where,
            found=value,
            expected=f"{low:g} to {high:g} {unit}",
            hint=slip_hint(key, value, (low, high), unit),
        )


def check_plausible(material: Material) -> None:
    """Refuse values out of range and values that contradict each other.

    Parameters
    ----------
    material : Material
        Fresh from its file or from Python.

    Raises
    ------
    MaterialError
        With one sentence that names the material and the values.
    """
    for key in RANGES:
        check_range(key, getattr(material, key), material.name)
    if material.saturation > ROUNDING * WATER_DENSITY * material.porosity:
        raise MaterialError(
            "saturation is more water than the open pores hold",
            where=material.name,
            found=material.saturation,
            expected=f"at most 1000 kg/m3 times porosity {material.porosity:g}",
        )
    solid = material.density / (1.0 - material.porosity)
    if solid > DENSEST_SOLID:
        raise MaterialError(
            "density and porosity together ask for a solid denser than any building stone",
            where=material.name,
            found=round(solid),
            expected=f"at most {DENSEST_SOLID:g} kg/m3",
        )
    if material.free_saturation > ROUNDING * material.saturation:
        raise MaterialError(
            "free saturation exceeds saturation",
            where=material.name,
            found=material.free_saturation,
            expected=f"at most {material.saturation:g} kg/m3",
        )
