"""The work in its order: each coat, board and film of a build-up, and what it waits for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from hygro.case.case import Case
from hygro.case.variants import LayerChoice, Variant
from hygro.case.walls import LayerSection
from hygro.constants import ZERO_CELSIUS
from hygro.decide.coats_practice import (
    DRY_HUMIDITY_PERCENT,
    DRY_SOURCE,
    FRESH_WATER,
    HARDENS_DAYS,
    HARDENS_SOURCE,
)
from hygro.errors import MaterialError
from hygro.materials.tables import CurveTable
from hygro.model.initial import suction_from_humidity, suction_from_water_content
from hygro.model.wall import Film

STATED = "stated in the case"


@dataclass(frozen=True)
class Step:
    """One thing that is put on the wall.

    Parameters
    ----------
    kind : {"coat", "layer", "film"}
        Applied wet; set dry; without thickness.
    name : str
        What results call it.
    thickness : float
        [m]; 0 for a film.
    table : CurveTable or None
        The material's curves; None for a film.
    suction : float
        Of the water in it when it is put up [Pa]; 0 for a film.
    fresh_water : float
        Water in a fresh coat [kg/m3]; 0 for what is set dry.
    fresh_source : str
        Where that comes from.
    dry_water : float
        Mean water content at which a coat is dry enough for the next [kg/m3].
    dry_source : str
        Where that comes from.
    finish_water : float
        Mean water content at which a film may go on [kg/m3].
    hardens_days : int
        Least days before the next.
    film : Film or None
        The film, its position left open.
    """

    kind: Literal["coat", "layer", "film"]
    name: str
    thickness: float = 0.0
    table: CurveTable | None = None
    suction: float = 0.0
    fresh_water: float = 0.0
    fresh_source: str = ""
    dry_water: float = 0.0
    dry_source: str = ""
    finish_water: float = 0.0
    hardens_days: int = 0
    film: Film | None = None


def is_wet(case: Case, variant: Variant) -> bool:
    """Tell whether a variant has coats that are applied wet."""
    return any(_section(case, choice).coats for choice in _added(variant))


def steps_of(case: Case, variant: Variant) -> tuple[Step, ...]:
    """List what a build-up puts on the old wall, in its order.

    Parameters
    ----------
    case : Case
        With a [programme].
    variant : Variant
        One of its walls.

    Returns
    -------
    tuple of Step
        A layer in several coats gives as many steps, all of one thickness.

    Raises
    ------
    CaseError
        The fresh water of a coat is neither given nor known, or is more than its pores hold, or it is dry
        at more water than it has when fresh.
    """
    steps: list[Step] = []
    for choice in _added(variant):
        if choice.film:
            film = case.film(choice)
            steps.append(Step("film", choice.name, film=Film(choice.name, 0, film.s_d, film.liquid_open)))
        elif _section(case, choice).coats:
            steps += _coats(case, choice)
        else:
            steps.append(_board(case, choice))
    return tuple(steps)


def _added(variant: Variant) -> list[LayerChoice]:
    return [choice for choice in variant.layers if choice.part == "build-up"]


def _section(case: Case, choice: LayerChoice) -> LayerSection:
    """Find the layer in the case file."""
    _, position, _, index = choice.path
    return case.spec.build_up[int(position)].layer[int(index)]


def _board(case: Case, choice: LayerChoice) -> Step:
    table = case.material(choice).table()
    if choice.initial_water_content_kg_m3 is None:
        humidity = choice.initial_relative_humidity_percent / 100.0
        suction = suction_from_humidity(humidity, choice.initial_temperature_C + ZERO_CELSIUS)
    else:
        suction = _suction(
            case, choice, table, choice.initial_water_content_kg_m3, "initial_water_content_kg_m3"
        )
    return Step("layer", choice.name, (choice.thickness_mm or 0.0) / 1000.0, table, suction)


def _coats(case: Case, choice: LayerChoice) -> list[Step]:
    section, programme = _section(case, choice), case.spec.programme
    assert programme is not None and section.coats is not None
    material = case.material(choice)
    table = material.table()
    fresh, fresh_source = _fresh(case, choice, section)
    suction = _suction(case, choice, table, fresh, "fresh_water_kg_m3")
    dry, dry_source = section.dry_when_water_kg_m3, STATED
    if dry is None:
        given = section.dry_when_humidity_percent
        humidity, dry_source = (given, STATED) if given is not None else (DRY_HUMIDITY_PERCENT, DRY_SOURCE)
        dry = float(material.water_content(humidity / 100.0))
        dry_source = f"what {humidity:g} % relative humidity leaves in it; {dry_source}"
    if dry >= fresh:
        raise case.source.error(
            choice.path,
            f"the coat {choice.name!r} counts as dry when fresh",
            found=f"dry at {dry:.4g} kg/m3, fresh at {fresh:.4g} kg/m3",
            expected="less water when dry",
        )
    finish = float(material.water_content(programme.finish_when_humidity_percent / 100.0))
    count = section.coats
    names = [choice.name] if count == 1 else [f"{choice.name}, coat {k + 1}" for k in range(count)]
    thickness = (choice.thickness_mm or 0.0) / 1000.0 / count
    hardens = HARDENS_DAYS if section.hardens_days is None else section.hardens_days
    said = HARDENS_SOURCE if section.hardens_days is None else STATED
    return [
        Step(
            "coat", name, thickness, table, suction, fresh, fresh_source, dry,
            f"{dry_source}; at least {hardens} days ({said})", finish, hardens,
        )
        for name in names
    ]  # fmt: skip


def _fresh(case: Case, choice: LayerChoice, section: LayerSection) -> tuple[float, str]:
    if section.fresh_water_kg_m3 is not None:
        return section.fresh_water_kg_m3, STATED
    if choice.material in FRESH_WATER:
        return FRESH_WATER[choice.material]
    raise case.source.error(
        (*choice.path, "coats"),
        f"the water of a fresh coat of {choice.material!r} is not known",
        expected="fresh_water_kg_m3",
        hint="mixing water less what the binder takes, per m3 of plaster",
    )


def _suction(case: Case, choice: LayerChoice, table: CurveTable, water: float, key: str) -> float:
    try:
        return suction_from_water_content(table, water)
    except MaterialError as failure:
        raise case.source.error(
            (*choice.path, key), failure.what, found=failure.found, expected=failure.expected
        ) from None
