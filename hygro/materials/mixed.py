"""Layers of several materials side by side, made into one material: studs with a fill, joints in masonry.

The wall stays one-dimensional: at each depth the parts share one temperature and one suction, so what lies
side by side acts in parallel. Vapour permeability, liquid transport and storage are means weighted by area.
That is the upper limit of what can pass: exact where the parts exchange heat and water freely sideways.
Nothing is told of the parts by themselves: a stud is colder or damper than the mean of it and its fill.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from hygro.materials.liquid import LiquidCurve
from hygro.materials.material import Material
from hygro.materials.mixed_heat import check_shares, mixed_name
from hygro.materials.sources import DECLINES, SENSITIVITIES, MouldDecline, MouldSensitivity, Source
from hygro.materials.storage import StorageCurve, suction_at_reference
from hygro.materials.tables import LOG_SUCTION
from hygro.physics.typing import FloatArray

Parts = Sequence[tuple[Material, float]]
"""Material and share of the area."""

LIMITS = (
    "One-dimensional: parts side by side share one temperature and one humidity at each depth. What the "
    "coldest or dampest part sees is not told: judge embedded timber by a probe or a wall of its own."
)
"""What goes with every mixed layer."""

PARALLEL = "parallel: mean of the conductivities weighted by area, the lower limit of the resistance"


@dataclass(frozen=True)
class _Curves:
    """Curves of the parts on the nodes of `LOG_SUCTION`, added up by area."""

    parts: tuple[tuple[Material, float], ...]

    @cached_property
    def water(self) -> FloatArray:
        """Water content [kg/m3]."""
        return self._mean("water_content")

    @cached_property
    def potential(self) -> FloatArray:
        """Matric flux potential [kg/(m s)]."""
        return self._mean("flux_potential")

    @cached_property
    def conductivity(self) -> FloatArray:
        """Thermal conductivity of the moist parts in parallel [W/(m K)]."""
        return self._mean("conductivity")

    @cached_property
    def permeability(self) -> FloatArray:
        """Vapour permeability over that of air [1]."""
        return self._sum([share / part.table().resistance_factor for part, share in self.parts])

    def _mean(self, name: str) -> FloatArray:
        return self._sum([share * getattr(part.table(), name) for part, share in self.parts])

    @staticmethod
    def _sum(curves: list[FloatArray]) -> FloatArray:
        return np.asarray(np.sum(curves, axis=0), dtype=np.float64)


@dataclass(frozen=True)
class MixedStorage:
    """Water content of the parts at one suction, weighted by area."""

    curves: _Curves

    def water_content(self, suction: FloatArray) -> FloatArray:
        """Water content [kg/m3] at a suction [Pa]."""
        return np.asarray(np.interp(np.log10(suction), LOG_SUCTION, self.curves.water))


@dataclass(frozen=True)
class MixedLiquid(LiquidCurve):
    """Liquid through the parts in parallel, each through its share of the area."""

    curves: _Curves

    def flux_potential(
        self, log_suction: FloatArray, water_content: FloatArray, storage: StorageCurve
    ) -> FloatArray:
        """Matric flux potential [kg/(m s)]."""
        return np.asarray(np.interp(log_suction, LOG_SUCTION, self.curves.potential))


@dataclass(frozen=True)
class MixedResistance:
    """Vapour through the parts in parallel."""

    curves: _Curves

    def resistance_factor(self, relative_humidity: FloatArray, water_content: FloatArray) -> FloatArray:
        """Water vapour resistance factor [1]."""
        suction = np.maximum(suction_at_reference(np.asarray(relative_humidity)), 10.0 ** LOG_SUCTION[0])
        return np.asarray(1.0 / np.interp(np.log10(suction), LOG_SUCTION, self.curves.permeability))


@dataclass(frozen=True)
class MixedHeat:
    """Heat through the moist parts in parallel, brought to a dry conductivity by one factor."""

    curves: _Curves
    factor: float

    def conductivity(self, water_content: FloatArray) -> FloatArray:
        """Thermal conductivity [W/(m K)]."""
        wetter = self.curves.water[::-1]
        return np.asarray(self.factor * np.interp(water_content, wetter, self.curves.conductivity[::-1]))


def mixed_material(
    parts: Parts, *, conductivity: float | None = None, heat_source: str = PARALLEL, name: str = ""
) -> Material:
    """Make one material of several that lie side by side.

    Parameters
    ----------
    parts : sequence of (Material, float)
        Each with its share of the area; at least two.
    conductivity : float, optional
        Effective dry conductivity [W/(m K)], such as from `hygro.materials.mixed_heat`; the area-weighted
        mean if not given. With moisture it grows as that of the parts in parallel.
    heat_source : str
        Where the conductivity comes from.
    name : str
        What it is called; made from the parts if not given.

    Returns
    -------
    Material
        Parts that are all alike give the part itself.

    Raises
    ------
    MaterialError
        The shares do not make up the whole, or a part cannot be tabulated.
    """
    check_shares([share for _, share in parts])
    first = parts[0][0]
    if all(part.digest() == first.digest() for part, _ in parts):
        return first
    curves = _Curves(tuple(parts))

    def mean(key: str) -> float:
        return sum(share * float(getattr(part, key)) for part, share in parts)

    density, parallel = mean("density"), mean("conductivity_dry")
    dry = parallel if conductivity is None else conductivity
    called = name or mixed_name([(part.name, share) for part, share in parts])
    return Material(
        name=called,
        title=" and ".join(f"{part.title.lower()} ({100.0 * share:.4g} %)" for part, share in parts),
        category="mixed layer",
        density=density,
        specific_heat=sum(share * part.density * part.specific_heat for part, share in parts) / density,
        conductivity_dry=dry,
        porosity=mean("porosity"),
        saturation=mean("saturation"),
        free_saturation=mean("free_saturation"),
        absorption_coefficient=None,
        storage=MixedStorage(curves),
        liquid=MixedLiquid(curves),
        vapour=MixedResistance(curves),
        heat=MixedHeat(curves, dry / parallel),
        mould_sensitivity=_worst_sensitivity(parts),
        mould_decline=_slowest_decline(parts),
        timber=False,
        description=LIMITS,
        sources=_sources(parts, density, dry, heat_source),
    )


def _worst_sensitivity(parts: Parts) -> MouldSensitivity:
    return min((part.mould_sensitivity for part, _ in parts), key=SENSITIVITIES.index)


def _slowest_decline(parts: Parts) -> MouldDecline:
    return max((part.mould_decline for part, _ in parts), key=DECLINES.index)


def _sources(parts: Parts, density: float, dry: float, heat_source: str) -> tuple[Source, ...]:
    """Say how each value came about, and where those of the parts come from."""
    shares = mixed_name([(part.name, share) for part, share in parts])
    own = (
        Source("mixed", shares, LIMITS, "derived"),
        Source("density", f"{density:.4g} kg/m3", "mean weighted by area", "derived"),
        Source("specific_heat", "of the parts", "mean weighted by mass", "derived"),
        Source("conductivity_dry", f"{dry:.4g} W/(m K)", heat_source, "derived"),
        Source("porosity", "of the parts", "mean weighted by area", "derived"),
        Source("saturation", "of the parts", "mean weighted by area", "derived"),
        Source("free_saturation", "of the parts", "mean weighted by area", "derived"),
        Source("storage", "of the parts", "at one suction, weighted by area", "derived"),
        Source("liquid", "of the parts", "flows in parallel at one suction, weighted by area", "derived"),
        Source("vapour", "of the parts", "permeabilities in parallel, weighted by area", "derived"),
        Source("heat", "of the parts", "moist parts in parallel, times one factor", "derived"),
        Source("mould_sensitivity", "of the parts", "the most sensitive part", "derived"),
        Source("mould_decline", "of the parts", "the slowest part", "derived"),
    )
    skipped = ("mould_sensitivity", "mould_decline")
    of_parts = (
        Source(f"{part.name}: {item.key}", item.value, item.source, item.kind)
        for part, _ in parts
        for item in part.sources
        if item.key not in skipped
    )
    return own + tuple(of_parts)
