"""From a case and one of its variants to the physical model of a wall."""

from __future__ import annotations

from hygro.case.case import Case
from hygro.case.run import PhysicsSection
from hygro.case.variants import LayerChoice, Variant
from hygro.constants import ZERO_CELSIUS
from hygro.errors import MaterialError
from hygro.model.describe import describe
from hygro.model.initial import suction_from_humidity, suction_from_water_content
from hygro.model.probes import probes_of
from hygro.model.sides import sides_of
from hygro.model.sources import sources_of
from hygro.model.wall import Film, Layer, PhysicsOptions, WallModel
from hygro.physics.moist_air import PERMEABILITY_CONSTANT_DIFFUSIVITY, PERMEABILITY_STANDARD

__all__ = ["build_wall", "describe"]


def build_wall(case: Case, variant: Variant) -> WallModel:
    """Build the physical model of a variant.

    Weather, wall climate and room climate are worked out once per case and elevation and shared after that.

    Parameters
    ----------
    case : Case
        A checked case.
    variant : Variant
        One of `case.variants()`.

    Returns
    -------
    WallModel
        SI units, kelvin.

    Raises
    ------
    CaseError
        A layer cannot start with the water content asked for, or lengths of series and run do not go
        together.
    ClimateError
        A weather, room or boundary file is not usable.
    MaterialError
        A curve cannot be tabulated.
    """
    sides = sides_of(case, variant.elevation)
    return WallModel(
        layers=tuple(_layer(case, layer) for layer in variant.layers if layer.material),
        films=_films(case, variant.layers),
        external=sides.external,
        internal=sides.internal,
        start=sides.start,
        probes=probes_of(case, variant),
        physics=physics_options(case.spec.physics),
        sources=sources_of(case, variant, sides),
    )


def physics_options(section: PhysicsSection) -> PhysicsOptions:
    """Translate [physics]."""
    standard = section.air_permeability == "standard"
    return PhysicsOptions(
        viscosity=section.viscosity,
        ice=section.ice,
        permeability=PERMEABILITY_STANDARD if standard else PERMEABILITY_CONSTANT_DIFFUSIVITY,
    )


def _layer(case: Case, choice: LayerChoice) -> Layer:
    assert choice.thickness_mm is not None
    table = case.material(choice).table()
    temperature = choice.initial_temperature_C + ZERO_CELSIUS
    if choice.initial_water_content_kg_m3 is None:
        suction = suction_from_humidity(choice.initial_relative_humidity_percent / 100.0, temperature)
    else:
        try:
            suction = suction_from_water_content(table, choice.initial_water_content_kg_m3)
        except MaterialError as failure:
            path = (*choice.path, "initial_water_content_kg_m3")
            raise case.source.error(
                path, failure.what, found=failure.found, expected=failure.expected
            ) from None
    thickness = choice.thickness_mm / 1000.0
    return Layer(choice.name, table, thickness, temperature, suction, choice.contact_resistance_m_s)


def _films(case: Case, choices: tuple[LayerChoice, ...]) -> tuple[Film, ...]:
    """Place the films by how many layers with thickness lie outside of them."""
    films = []
    position = 0
    for choice in choices:
        if choice.material:
            position += 1
            continue
        film = case.film(choice)
        films.append(Film(choice.name, position, film.s_d, film.liquid_open))
    return tuple(films)
