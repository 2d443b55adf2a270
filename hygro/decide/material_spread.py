"""What the spread of one material does to a wall: its values moved to their ends, one after the other."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from hygro.case import Case, Variant
from hygro.decide.verdict import critical_interface
from hygro.errors import CaseError
from hygro.materials import Material
from hygro.materials.sources import End
from hygro.results.simulate import simulate

KEYS: Final = ("absorption_coefficient", "vapour")
"""Values moved where nothing else is asked for: what rain and what vapour meet."""

ENDS: Final[tuple[End, ...]] = ("low", "high")


@dataclass(frozen=True)
class SpreadEffect:
    """A wall with one value of one material at one end of its spread.

    Parameters
    ----------
    key : str
        Name of the value; empty for the material as stated.
    end : str
        "low" or "high"; empty for the material as stated.
    value : float or None
        What it was set to, in the unit of its spread.
    place : str
        The interface that decides.
    mean, most : float
        Mean and greatest relative humidity there in the last year [%].
    heat_loss : float
        Of the last year [kWh/m2].
    """

    key: str
    end: str
    value: float | None
    place: str
    mean: float
    most: float
    heat_loss: float


def spread_effect(
    case: Case,
    variant: Variant,
    name: str,
    material: Material | None = None,
    *,
    keys: Sequence[str] = KEYS,
    progress: Callable[[SpreadEffect], None] | None = None,
) -> list[SpreadEffect]:
    """Simulate a wall with a material as stated and with each value at both ends of its spread.

    Parameters
    ----------
    case : Case
        A checked case.
    variant : Variant
        Which wall of it.
    name : str
        The material, as the case names it.
    material : Material, optional
        Put in its place, such as one of your own; the case's material where omitted.
    keys : sequence of str
        Values to move, as for `Material.with_value`.
    progress : callable, optional
        Called after each simulation.

    Returns
    -------
    list of SpreadEffect
        The material as stated first.

    Raises
    ------
    CaseError
        The wall has no layer of that material, or no interface.
    MaterialError
        A value states no spread or cannot be moved.
    SolverError
        A march could not go on.
    """
    layer = next((each for each in variant.layers if each.material == name), None)
    if layer is None:
        used = sorted({each.material for each in variant.layers if each.material})
        raise CaseError(
            "the wall has no layer of this material",
            where=variant.slug,
            found=name,
            expected=f"one of {', '.join(used)}",
        )
    stated = material or case.material(layer)
    effects = []
    for key, end in [("", ""), *((key, end) for key in keys for end in ENDS)]:
        moved = stated.with_value(key, end) if key else stated  # type: ignore[arg-type]
        value = getattr(stated.source(key), end) if key else None
        effects.append(
            _effect(replace(case, materials={**case.materials, name: moved}), variant, key, end, value)
        )
        if progress is not None:
            progress(effects[-1])
    return effects


def _effect(case: Case, variant: Variant, key: str, end: str, value: float | None) -> SpreadEffect:
    dataset = simulate(case, variant)
    place, mean, most = critical_interface(dataset, variant)
    if mean is None or most is None:
        raise CaseError("the wall has no interface to look at", where=variant.slug)
    loss = float(dataset["year_heat_loss"].values[-1])
    return SpreadEffect(key, end, value, place, mean, most, loss)
