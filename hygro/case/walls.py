"""[wall], [[build_up]], [[probe]]: what the wall is, and what could be put on it."""

from __future__ import annotations

from math import isfinite
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, StringConstraints

from hygro.case.base import Celsius, HumidityPercent, List, Positive, Section, Share, Words, refuse

Name = Annotated[str, StringConstraints(min_length=1, max_length=80, strip_whitespace=True)]
"""What something is called in results."""


def _is_number(value: Any) -> bool:
    """Tell numbers from text, truth values, nan and inf."""
    return isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)


def _thickness(value: Any) -> Any:
    """Accept a number or a list of numbers that rise."""
    if _is_number(value):
        return float(value)
    if not isinstance(value, list | tuple) or not value or not all(_is_number(entry) for entry in value):
        raise refuse("is no thickness", expected="a number in mm, or a list of numbers such as [40, 60, 80]")
    numbers = tuple(float(entry) for entry in value)
    if any(later <= earlier for earlier, later in zip(numbers, numbers[1:], strict=False)):
        raise refuse(
            "does not rise from entry to entry", expected="thicknesses from thin to thick, each once"
        )
    return numbers


class PartSection(Section):
    """One part of a mixed layer."""

    material: Words = Field(
        description='Material of the library, a .toml file of your own, or "still-air" (ISO 6946).'
    )
    share: Annotated[float, Field(gt=0.0, lt=1.0)] = Field(description="Share of the area.")


class LayerSection(Section):
    """One layer of a wall or build-up, from outside to inside: material, mixed parts, air layer, or film."""

    material: Words | None = Field(
        default=None, description="Material of the library, or a .toml file of your own."
    )
    film: Words | None = Field(
        default=None, description="Film (paint, membrane, foil) of the library, or a .toml file."
    )
    air_layer: bool = Field(
        default=False, description="Still air between two faces, instead of a material or a film."
    )
    ventilated_per_hour: Annotated[float, Field(gt=0.0, le=10_000.0)] | None = Field(
        default=None, description="Changes an hour of the air of an air layer with outdoor air."
    )
    mixed: List[PartSection] | None = Field(
        default=None, description="Parts side by side, such as studs and their fill, instead of a material."
    )
    mixed_heat: Literal["ISO 6946", "parallel"] | None = Field(
        default=None, description="Heat through mixed parts: combined method (default) or in parallel."
    )
    thickness_mm: Annotated[float | tuple[float, ...] | None, BeforeValidator(_thickness)] = Field(
        default=None,
        description="One thickness; in one layer of a build-up it may be a list, the candidates.",
    )
    contact_resistance_m_s: Annotated[float, Field(gt=0.0, le=1e20)] | None = Field(
        default=None, description="Resistance to liquid of the contact with the layer outside of it."
    )
    name: Name | None = Field(
        default=None, description="What results call the layer; default: the material's name."
    )
    initial_temperature_C: Celsius | None = Field(default=None, description="Default: that of [wall].")
    initial_relative_humidity_percent: HumidityPercent | None = Field(
        default=None, description="Pore humidity at the start; default: that of [wall]."
    )
    initial_water_content_kg_m3: Positive | None = Field(
        default=None, description="Water content at the start, instead of the pore humidity."
    )
    coats: Annotated[int, Field(ge=1, le=20)] | None = Field(
        default=None, description="Wet coats in which the thickness is applied, for hygro coats."
    )
    fresh_water_kg_m3: Positive | None = Field(
        default=None, description="Water in a fresh coat; where coats are given, else from a table."
    )
    dry_when_humidity_percent: HumidityPercent | None = Field(
        default=None,
        description="A coat is dry where its mean water is at most what this humidity leaves in it.",
    )
    dry_when_water_kg_m3: Positive | None = Field(
        default=None, description="A coat is dry at this mean water content, instead of a humidity."
    )
    hardens_days: Annotated[int, Field(ge=0, le=365)] | None = Field(
        default=None, description="Least days before anything goes on a coat."
    )


class WallSection(Section):
    """The old wall as it stands, and its surfaces."""

    layer: List[LayerSection] = Field(description="Layers from outside to inside.")
    solar_absorptance: Share = Field(
        default=0.6, description="Share of the sun that the external surface absorbs."
    )
    emissivity: Share = Field(default=0.9, description="Long-wave emissivity of the external surface.")
    heat_coefficient_internal_W_m2K: Annotated[float, Field(gt=0.0, le=100.0)] = Field(
        default=7.7, description="Heat transfer coefficient of the internal surface, radiation included."
    )
    vapour_coefficient_internal_kg_m2sPa: Annotated[float, Field(gt=0.0, le=1.0)] = Field(
        default=2.5e-8, description="Vapour transfer coefficient of the internal surface."
    )
    initial_temperature_C: Celsius = Field(
        default=20.0, description="Temperature of all layers at the start."
    )
    initial_relative_humidity_percent: HumidityPercent = Field(
        default=80.0, description="Pore humidity of all layers at the start."
    )


class BuildUpSection(Section):
    """A way to insulate the wall on the inside."""

    name: Name = Field(description="What results call it.")
    removes: List[Name] = Field(
        default=(),
        description="Names of layers of the wall that are taken off first, such as an old plaster.",
    )
    layer: List[LayerSection] = Field(description="Layers from the old wall to the room.")


class ProbeSection(Section):
    """A depth at which the hourly history is kept."""

    name: Name = Field(description="What results call it.")
    depth_mm: Annotated[float, Field(ge=0.0)] = Field(description="Distance from the face named by `from`.")
    measured_from: Literal["outside", "inside of the wall"] = Field(
        default="outside",
        alias="from",
        description="Outside, or the inner face of the old wall as it stands (before anything is removed).",
    )
    timber: bool = Field(default=False, description="Whether timber is embedded there, such as a joist end.")
