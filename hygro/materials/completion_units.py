"""Slips of unit and point that material data sheets invite, and what the number would be without them."""

from __future__ import annotations

from math import sqrt
from typing import Final

SLIPS: Final[dict[str, tuple[tuple[str, float], ...]]] = {
    "density": (("g/cm3", 1000.0), ("lb/ft3", 16.018)),
    "specific_heat": (("kJ/(kg K)", 1000.0), ("Wh/(kg K)", 3600.0)),
    "conductivity_dry": (("mW/(m K)", 1e-3),),
    "porosity": (("%", 0.01),),
    "saturation": (("m3/m3", 1000.0), ("% by volume", 10.0)),
    "free_saturation": (("m3/m3", 1000.0), ("% by volume", 10.0)),
    "absorption_coefficient": (("kg/(m2 min^0.5)", 1.0 / sqrt(60.0)), ("kg/(m2 h^0.5)", 1.0 / 60.0)),
}
"""Units in which a value is often stated, and the factor to the unit of the file."""

_SPELLINGS: Final = str.maketrans({"²": "2", "³": "3", "·": " ", "√": "^", "*": " "})


def slip_hint(key: str, value: float, bounds: tuple[float, float], unit: str) -> str | None:
    """Say in which other unit a value would make sense.

    Parameters
    ----------
    key : str
        Name of the value.
    value : float
        As found, and not plausible.
    bounds : (float, float)
        Least and greatest plausible value.
    unit : str
        In which those are.

    Returns
    -------
    str or None
        None where no usual slip explains it.
    """
    low, high = bounds
    meant = [
        f"if {value:g} is meant in {other}, write {value * factor:.4g}{_named(unit)}"
        for other, factor in SLIPS.get(key, ())
        if low <= value * factor <= high
    ]
    return "; ".join(meant) or None


def unit_hint(key: str, unit: str, value: float) -> str | None:
    """Convert a value from the unit that was stated to the one the file asks for.

    Parameters
    ----------
    key : str
        Name of the value.
    unit : str
        As stated.
    value : float
        In that unit.

    Returns
    -------
    str or None
        None where the unit is none of the usual ones.
    """
    for other, factor in SLIPS.get(key, ()):
        if _plain(unit) == _plain(other):
            return f"{value:g} {other} is {value * factor:.4g} in the unit of this file"
    return None


def _plain(unit: str) -> str:
    return "".join(unit.translate(_SPELLINGS).split()).lower()


def _named(unit: str) -> str:
    return "" if unit == "1" else f" {unit}"
