"""Thermal resistance of walls with layers of several parts side by side: the combined method of ISO 6946."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import prod

from hygro.constants import EXTERNAL_RESISTANCE, INTERNAL_RESISTANCE
from hygro.errors import MaterialError

SHARES_MISS = 1e-6
"""How far shares may miss 1: thirds are written with six digits or more."""

LARGEST_RATIO = 1.5
"""Upper over lower limit beyond which the combined method fails; ISO 6946, from memory, unconfirmed."""


@dataclass(frozen=True)
class Strips:
    """A layer of parts side by side, such as studs and what lies between them.

    Parameters
    ----------
    thickness : float
        [m].
    shares : tuple of float
        Of the area, adding up to 1.
    conductivities : tuple of float
        Of the parts [W/(m K)].
    """

    thickness: float
    shares: tuple[float, ...]
    conductivities: tuple[float, ...]

    @property
    def parallel(self) -> float:
        """Area-weighted mean of the conductivities [W/(m K)]."""
        return sum(f * k for f, k in zip(self.shares, self.conductivities, strict=True))

    @property
    def least_resistance(self) -> float:
        """Resistance where heat spreads freely between the parts [m2 K/W]."""
        return self.thickness / self.parallel

    @property
    def room(self) -> float:
        """How far the mean of the parts' resistances lies above the least resistance [m2 K/W]."""
        pairs = zip(self.shares, self.conductivities, strict=True)
        return self.thickness * sum(f / k for f, k in pairs) - self.least_resistance


@dataclass(frozen=True)
class Combined:
    """Total resistance of a wall from room air to outdoor air.

    Parameters
    ----------
    upper, lower : float
        Limits: no heat crosses between the parts; heat spreads freely in each plane [m2 K/W].
    """

    upper: float
    lower: float

    @property
    def total(self) -> float:
        """Mean of the two limits [m2 K/W]."""
        return 0.5 * (self.upper + self.lower)

    @property
    def error(self) -> float:
        """Largest relative error of the total: half the distance of the limits over the total [1]."""
        return (self.upper - self.lower) / (2.0 * self.total)

    @property
    def holds(self) -> bool:
        """Whether the limits lie near enough to one another for the method."""
        return self.upper <= LARGEST_RATIO * self.lower


def check_shares(shares: Sequence[float], where: str | None = None) -> None:
    """Refuse shares of an area that do not make up the whole.

    Raises
    ------
    MaterialError
        Fewer than two, one not between 0 and 1, or a sum that is not 1.
    """
    if len(shares) < 2:
        raise MaterialError(
            "a mixed layer has too few parts", where=where, found=len(shares), expected="at least two"
        )
    if min(shares) <= 0.0 or abs(sum(shares) - 1.0) > SHARES_MISS:
        raise MaterialError(
            "the shares of a mixed layer do not make up the whole",
            where=where,
            found=" + ".join(f"{share:g}" for share in shares) + f" = {sum(shares):g}",
            expected="shares above 0 that add up to 1",
        )


def mixed_name(parts: Sequence[tuple[str, float]]) -> str:
    """Name of a mixed material: its parts and their shares in percent, in the order given."""
    return " + ".join(f"{name} {100.0 * share:.4g} %" for name, share in parts)


def combined_resistance(
    layers: Sequence[Strips],
    internal: float = INTERNAL_RESISTANCE,
    external: float = EXTERNAL_RESISTANCE,
) -> Combined:
    """Total thermal resistance by the combined method of ISO 6946.

    Parameters
    ----------
    layers : sequence of Strips
        Plain layers have one part of share 1. Parts of two layers are taken to lie independently of one
        another: the area of a pair is the product of the shares.
    internal, external : float
        Surface resistances [m2 K/W].

    Returns
    -------
    Combined
        Both limits.
    """
    surfaces = internal + external
    conductance = 0.0
    for chosen in product(*(range(len(layer.shares)) for layer in layers)):
        picked = list(zip(layers, chosen, strict=True))
        area = prod(layer.shares[k] for layer, k in picked)
        conductance += area / (
            surfaces + sum(layer.thickness / layer.conductivities[k] for layer, k in picked)
        )
    lower = surfaces + sum(layer.least_resistance for layer in layers)
    return Combined(1.0 / conductance, lower)


def effective_conductivities(layers: Sequence[Strips], combined: Combined) -> tuple[float, ...]:
    """Conductivity of each layer with which the layers in series have the total of the combined method.

    What the mean of the limits lies above the lower limit is handed to the layers in proportion to how far
    the resistances of their parts differ; with one mixed layer that is all of it.

    Parameters
    ----------
    layers : sequence of Strips
        As for `combined_resistance`.
    combined : Combined
        Its result.

    Returns
    -------
    tuple of float
        [W/(m K)].
    """
    rooms = [layer.room for layer in layers]
    whole = sum(rooms)
    if whole <= 0.0:
        return tuple(layer.parallel for layer in layers)
    above = combined.total - combined.lower
    return tuple(
        layer.thickness / (layer.least_resistance + above * room / whole)
        for layer, room in zip(layers, rooms, strict=True)
    )
