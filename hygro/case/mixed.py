"""The material of a mixed layer, from its parts and from what it stands in series with."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hygro.case.variants import LayerChoice
from hygro.errors import MaterialError
from hygro.materials import Material
from hygro.materials.mixed import PARALLEL, mixed_material
from hygro.materials.mixed_air import STILL_AIR, still_air
from hygro.materials.mixed_heat import Strips, combined_resistance, effective_conductivities

if TYPE_CHECKING:
    from hygro.case.case import Case


def mixed_of(case: Case, layer: LayerChoice) -> Material:
    """Make the material of a mixed layer.

    Parameters
    ----------
    case : Case
        Knows the materials.
    layer : LayerChoice
        With `mixed` parts. Heat goes through them by the combined method of ISO 6946 in the wall of which
        the layer is a part, dry and with the surface resistances of a wall, or in parallel.

    Returns
    -------
    Material
        The part itself where all parts are alike.

    Raises
    ------
    CaseError
        A part is not there or not usable.
    """
    parts = _parts(case, layer)
    try:
        if layer.mixed_heat == "parallel":
            return mixed_material(parts, heat_source=PARALLEL, name=layer.material or "")
        conductivity, said = _combined(case, layer)
        return mixed_material(parts, conductivity=conductivity, heat_source=said, name=layer.material or "")
    except MaterialError as failure:
        raise case.pointed(failure, (*layer.path, "mixed")) from None


def _parts(case: Case, layer: LayerChoice) -> list[tuple[Material, float]]:
    path = (*layer.path, "mixed")
    return [(_part(case, name, layer.thickness_mm, path), share) for name, share in layer.mixed]


def _part(case: Case, name: str, thickness_mm: float | None, path: tuple[str | int, ...]) -> Material:
    if name != STILL_AIR or name in case.materials:
        return case.named_material(name, path)
    try:
        return still_air((thickness_mm or 0.0) / 1000.0)
    except MaterialError as failure:
        raise case.pointed(failure, path) from None


def _combined(case: Case, layer: LayerChoice) -> tuple[float, str]:
    """Return the effective conductivity of the layer and how it came about."""
    strips = [_strips(case, each) for each in (layer, *layer.beside)]
    combined = combined_resistance(strips)
    said = (
        f"combined method of ISO 6946 in the dry wall of this variant: limits {combined.upper:.3f} and "
        f"{combined.lower:.3f} m2 K/W, so the total is at most {100.0 * combined.error:.2g} % off"
    )
    if not combined.holds:
        said += (
            "; the limits lie further apart than the method allows, so a two-dimensional calculation decides"
        )
    return effective_conductivities(strips, combined)[0], said


def _strips(case: Case, layer: LayerChoice) -> Strips:
    thickness = (layer.thickness_mm or 0.0) / 1000.0
    if not layer.mixed:
        return Strips(thickness, (1.0,), (case.material(layer).conductivity_dry,))
    parts = _parts(case, layer)
    if layer.mixed_heat == "parallel":
        mean = sum(share * part.conductivity_dry for part, share in parts)
        return Strips(thickness, (1.0,), (mean,))
    shares, conductivities = zip(*((share, part.conductivity_dry) for part, share in parts), strict=True)
    return Strips(thickness, shares, conductivities)
