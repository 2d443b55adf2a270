"""From a material's curves to the even log-suction table the solver reads."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from hygro.errors import MaterialError
from hygro.materials.storage import humidity_at_reference
from hygro.materials.tables import LOG_SUCTION, STEPS_PER_DECADE, CurveTable
from hygro.physics.typing import FloatArray

if TYPE_CHECKING:
    from hygro.materials.material import Material

LEAST_SLOPE = 1e-4
"""Least fall of water content per decade of suction, as a share of free saturation.

The solver divides by moisture capacity. Next to saturation, in very dry air, and between two pore classes
real curves are so flat that suction would be undetermined; this much slope settles it and is far below what
any sorption test can see.
"""

WET_END_TOLERANCE = 0.02
"""Relative difference allowed between a storage curve at 1 Pa and the stated free saturation."""

_OVERFLOW_NODES = int(np.searchsorted(LOG_SUCTION, -0.5 / STEPS_PER_DECADE))
"""Number of nodes below log10 s = 0, between free saturation and saturation."""


def regularised_storage(water: FloatArray, free_saturation: float) -> FloatArray:
    """Give a storage curve the least slope everywhere, leaving it untouched where it is steeper.

    Parameters
    ----------
    water : array, shape (n,)
        Water content from log10 s = 0 up to the driest node, not rising [kg/m3].
    free_saturation : float
        [kg/m3].

    Returns
    -------
    array, shape (n,)
        Strictly falling [kg/m3]; starts at free saturation.
    """
    fall = LEAST_SLOPE * free_saturation / STEPS_PER_DECADE
    steps = fall * np.arange(len(water))
    falling = np.minimum.accumulate(water + steps) - steps
    floor = fall * np.arange(len(water))[::-1]
    return np.maximum(falling, floor)


def storage_on_nodes(material: Material) -> FloatArray:
    """Water content on the nodes of `LOG_SUCTION`, with the overflow below log10 s = 0 [kg/m3]."""
    free = material.free_saturation
    measured = np.asarray(material.storage.water_content(10.0 ** LOG_SUCTION[_OVERFLOW_NODES:]), dtype=float)
    if not abs(measured[0] - free) <= WET_END_TOLERANCE * free:
        raise MaterialError(
            f"the storage curve of {material.name} does not end at free saturation",
            found=float(measured[0]),
            expected=f"{free:g} kg/m3 at a suction of 1 Pa",
        )
    measured = np.minimum(measured, free)
    measured[0] = free
    if np.any(np.diff(measured) > 1e-9 * free):
        raise MaterialError(f"the storage curve of {material.name} rises with suction somewhere")
    porous = regularised_storage(measured, free)
    # Where saturation is no more than free saturation, the overflow still needs a slope.
    top = max(material.saturation, free * (1.0 + LEAST_SLOPE))
    share = -LOG_SUCTION[:_OVERFLOW_NODES] / -LOG_SUCTION[0]
    return np.concatenate([free + (top - free) * share, porous])


def build_table(material: Material) -> CurveTable:
    """Tabulate all curves of a material.

    Parameters
    ----------
    material : Material
        With curves.

    Returns
    -------
    CurveTable

    Raises
    ------
    MaterialError
        If a curve is not finite, has the wrong sign or the wrong direction.
    """
    suction = 10.0**LOG_SUCTION
    water = storage_on_nodes(material)
    humidity = humidity_at_reference(suction)
    potential = material.liquid.flux_potential(
        LOG_SUCTION, np.minimum(water, material.free_saturation), material.storage
    )
    table = CurveTable(
        material=material.name,
        density=material.density,
        specific_heat=material.specific_heat,
        water_content=water,
        flux_potential=np.asarray(potential, dtype=float),
        resistance_factor=np.asarray(material.vapour.resistance_factor(humidity, water), dtype=float),
        conductivity=np.asarray(material.heat.conductivity(water), dtype=float),
    )
    _check(table)
    return table


def _check(table: CurveTable) -> None:
    curves = {
        "storage": table.water_content,
        "liquid": table.flux_potential,
        "vapour": table.resistance_factor,
        "heat": table.conductivity,
    }
    for name, values in curves.items():
        if values.shape != LOG_SUCTION.shape or not np.all(np.isfinite(values)):
            raise MaterialError(f"the {name} curve of {table.material} is not finite everywhere")
    if np.any(np.diff(table.flux_potential) > 0.0):
        raise MaterialError(f"the liquid curve of {table.material} has a negative conductivity somewhere")
    if table.resistance_factor.min() <= 0.0 or table.conductivity.min() <= 0.0:
        raise MaterialError(f"the vapour and heat curves of {table.material} must stay above 0")
