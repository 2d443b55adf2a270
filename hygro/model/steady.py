"""The monthly steady-state method for a variant of a case, beside the transient simulation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from hygro.case.case import Case
from hygro.case.variants import LayerChoice, Variant
from hygro.errors import ClimateError
from hygro.model.sides import Sides, sides_of
from hygro.physics.interstitial import Layers, strips
from hygro.physics.interstitial_year import MONTHS, MonthlyClimate, YearlyBalance, yearly_balance
from hygro.physics.typing import FloatArray

DESIGN_HUMIDITY: Final = 0.5
"""Relative humidity at which vapour resistance factors and s_d are taken [1]: common practice, no published
source; it lies between the dry and the wet cup of ISO 12572."""

_HOUR: Final = np.timedelta64(1, "h")


@dataclass(frozen=True)
class SteadyLayer:
    """A layer or film in the numbers of the steady method.

    Parameters
    ----------
    name : str
        As in the case.
    thickness : float
        0 for a film [m].
    resistance : float
        Thermal resistance from the dry conductivity, 0 for a film [m2 K/W].
    s_d : float
        At `DESIGN_HUMIDITY` and 20 degC [m].
    """

    name: str
    thickness: float
    resistance: float
    s_d: float


@dataclass(frozen=True)
class SteadyCondensation:
    """What ISO 13788 says of a wall.

    Parameters
    ----------
    layers : tuple of SteadyLayer
        From outside to inside.
    planes : tuple of str
        Names of the planes of `balance`, from the external to the internal surface.
    thermal_transmittance : float
        U of ISO 6946 from dry conductivities [W/(m2 K)].
    climate : MonthlyClimate
        Monthly means of temperature and vapour pressure of the air on both sides.
    balance : YearlyBalance
        Water at the planes.
    """

    layers: tuple[SteadyLayer, ...]
    planes: tuple[str, ...]
    thermal_transmittance: float
    climate: MonthlyClimate
    balance: YearlyBalance

    @property
    def wet_planes(self) -> list[int]:
        """Planes at which water condenses in some month."""
        return [int(plane) for plane in np.flatnonzero(self.balance.greatest > 0.0)]


def steady_condensation(case: Case, variant: Variant) -> SteadyCondensation:
    """Work out interstitial condensation of a variant by the monthly method of ISO 13788.

    Heat by dry conductivities and the surface resistances of ISO 6946, vapour by resistance factors at 50 %
    relative humidity, air by monthly means of temperature and vapour pressure. Sun, rain, capillary flow
    and storage are not in it, so the elevation does not matter. Layers of more than 0.25 m2 K/W are cut into
    strips.

    Parameters
    ----------
    case : Case
        A checked case.
    variant : Variant
        One of `case.variants()`.

    Returns
    -------
    SteadyCondensation
        Frozen.

    Raises
    ------
    CaseError
        A material is not usable, or lengths of series do not go together.
    ClimateError
        A climate is not usable, does not cover twelve months, or prescribes a surface.
    """
    found = tuple(_layer(case, choice) for choice in variant.layers)
    cuts = strips(np.array([layer.resistance for layer in found]))
    layers = Layers(
        resistance=np.repeat(np.array([layer.resistance for layer in found]) / cuts, cuts),
        s_d=np.repeat(np.array([layer.s_d for layer in found]) / cuts, cuts),
    )
    climate = monthly_climate(sides_of(case, variant.elevation), str(case.path))
    return SteadyCondensation(
        layers=found,
        planes=_plane_names(found, [int(cut) for cut in cuts]),
        thermal_transmittance=1.0 / layers.total_resistance,
        climate=climate,
        balance=yearly_balance(layers, climate),
    )


def monthly_climate(sides: Sides, where: str) -> MonthlyClimate:
    """Average the air on both sides by month of the calendar, over all years of the record.

    Parameters
    ----------
    sides : Sides
        Hourly boundaries.
    where : str
        The case file, for errors.

    Returns
    -------
    MonthlyClimate
        Means of air temperature and of vapour pressure.

    Raises
    ------
    ClimateError
        A month is missing, or a side prescribes the state of the surface.
    """
    for name, side in (("external", sides.external), ("internal", sides.internal)):
        if side.kind == "fixed":
            raise ClimateError(
                "monthly means need air, and a surface is prescribed", where=f"{where} [{name}]"
            )
    hours = len(sides.external.air_temperature)
    begins = sides.start.astype("datetime64[h]") + np.arange(hours) * _HOUR
    month = begins.astype("datetime64[M]").astype(int) % MONTHS
    counts = np.bincount(month, minlength=MONTHS)
    # The standard's shortest month less a day, for records that drop 29 February.
    if counts.min() < 27 * 24:
        raise ClimateError(
            "monthly means need a record of a whole year", where=where, found=f"{hours} h", expected="8760 h"
        )

    def means(values: FloatArray) -> FloatArray:
        return np.bincount(month, weights=values, minlength=MONTHS) / counts

    return MonthlyClimate(
        external_temperature=means(sides.external.air_temperature),
        external_pressure=means(sides.external.vapour_pressure),
        internal_temperature=means(sides.internal.air_temperature),
        internal_pressure=means(sides.internal.vapour_pressure),
    )


def _layer(case: Case, choice: LayerChoice) -> SteadyLayer:
    if not choice.material:
        s_d = case.film(choice).s_d
        return SteadyLayer(choice.name, 0.0, 0.0, float(s_d[round(DESIGN_HUMIDITY * (len(s_d) - 1))]))
    assert choice.thickness_mm is not None
    material, thickness = case.material(choice), choice.thickness_mm / 1000.0
    humidity = np.array([DESIGN_HUMIDITY])
    factor = float(material.vapour.resistance_factor(humidity, material.water_content(humidity))[0])
    return SteadyLayer(choice.name, thickness, thickness / material.conductivity_dry, factor * thickness)


def _plane_names(layers: tuple[SteadyLayer, ...], cuts: list[int]) -> tuple[str, ...]:
    """Name surfaces, interfaces, and cuts through layers by their distance from the layer's outer face."""
    names = ["external surface"]
    for position, (layer, cut) in enumerate(zip(layers, cuts, strict=True)):
        names += [
            f"{layer.name}, {1000.0 * layer.thickness * k / cut:.0f} mm from its outer face"
            for k in range(1, cut)
        ]
        last = position == len(layers) - 1
        names.append("internal surface" if last else f"{layer.name} | {layers[position + 1].name}")
    return tuple(names)
