"""A layer of air between two faces, as a material whose conductivity goes with its thickness."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from hygro.constants import GAS_CONSTANT_VAPOUR, REFERENCE_TEMPERATURE
from hygro.materials.material import Material
from hygro.materials.sources import Source
from hygro.physics.air_flow import air_layer_resistance
from hygro.physics.moist_air import relative_humidity, saturation_pressure
from hygro.physics.typing import FloatArray

AIR_LAYER = "air layer"
"""What layers, results and reports call the material."""

SOURCES = (
    Source("conductivity_dry", "thickness over resistance", "ISO 6946, unventilated air layers", "published"),
    Source("vapour", "mu = 1", "still air: s_d is the thickness", "derived"),
    Source("storage", "vapour in saturated air at 20 degC", "ideal gas law", "derived"),
    Source(
        "density, specific_heat", "2.0 kJ/(m3 K)",
        "the least of any material of the library; air has 1.2, which is nothing to either", "derived",
    ),
)  # fmt: skip


@lru_cache(maxsize=64)
def air_layer(thickness: float) -> Material:
    """Return the still air of a layer.

    Heat crosses by conduction, convection and radiation together, vapour by diffusion, liquid not at all.
    What condenses in it stays where it does.

    Parameters
    ----------
    thickness : float
        [m], above 0.

    Returns
    -------
    Material
        To be used in a layer of that thickness.
    """
    saturated = float(saturation_pressure(np.array(REFERENCE_TEMPERATURE)))
    full = saturated / (GAS_CONSTANT_VAPOUR * REFERENCE_TEMPERATURE)

    def vapour_held(suction: FloatArray) -> FloatArray:
        held: FloatArray = full * relative_humidity(suction, np.array(REFERENCE_TEMPERATURE))
        return held

    return Material.from_curves(
        name=AIR_LAYER,
        title=f"still air, {1000.0 * thickness:g} mm",
        category=AIR_LAYER,
        density=5.0,
        specific_heat=400.0,
        conductivity_dry=thickness / air_layer_resistance(thickness),
        porosity=0.99,
        free_saturation=full,
        storage=vapour_held,
        vapour=1.0,
        mould_sensitivity="resistant",
        mould_decline="strong",
        sources=SOURCES,
    )
