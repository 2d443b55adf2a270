"""How a material's curves reach the solver: values on an even grid of log10 suction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hygro.physics.typing import FloatArray

LOG_SUCTION_LOW = -1.0
"""log10 of the lowest tabulated suction in Pa; below 0 lies the overflow above free saturation."""

LOG_SUCTION_HIGH = 10.0
"""log10 of the highest tabulated suction in Pa (relative humidity of 6e-33 at 20 degC)."""

STEPS_PER_DECADE = 100
"""Even spacing of the table."""

LOG_SUCTION = np.linspace(
    LOG_SUCTION_LOW, LOG_SUCTION_HIGH, int((LOG_SUCTION_HIGH - LOG_SUCTION_LOW) * STEPS_PER_DECADE) + 1
)
"""log10 of suction in Pa at the table's nodes."""


@dataclass(frozen=True)
class CurveTable:
    """Curves of one material on the nodes of `LOG_SUCTION`, linear in between.

    Parameters
    ----------
    material : str
        Name of the material.
    density : float
        Dry bulk density [kg/m3].
    specific_heat : float
        Of the dry material [J/(kg K)].
    water_content : array
        w, falling with suction; from 0 down to -1 it rises from free saturation to saturation [kg/m3].
    flux_potential : array
        Matric flux potential at 20 degC, the integral of liquid conductivity from the suction to infinity
        [kg/(m s)]; zero throughout where no liquid moves.
    resistance_factor : array
        Water vapour resistance factor [1], above 0.
    conductivity : array
        Thermal conductivity with the water in it [W/(m K)].
    """

    material: str
    density: float
    specific_heat: float
    water_content: FloatArray
    flux_potential: FloatArray
    resistance_factor: FloatArray
    conductivity: FloatArray

    @property
    def moves_liquid(self) -> bool:
        """Whether liquid moves in the material at any suction."""
        return bool(self.flux_potential[0] > 0.0)
