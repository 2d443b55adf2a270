"""From a material or film file to a `Material` or a `ThinLayer`."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

from hygro.errors import MaterialError
from hygro.materials import forms
from hygro.materials.checks import check_range
from hygro.materials.completion import complete_document
from hygro.materials.completion_units import unit_hint
from hygro.materials.film import FILM_HUMIDITY, ThinLayer, check_s_d
from hygro.materials.material import Material
from hygro.materials.section import Section
from hygro.materials.sources import DECLINES, SENSITIVITIES, Source
from hygro.materials.storage import suction_at_reference
from hygro.materials.tomlfile import read_toml
from hygro.physics.typing import FloatArray

UNITS = {
    "density": "kg/m3",
    "specific_heat": "J/(kg K)",
    "conductivity_dry": "W/(m K)",
    "porosity": "1",
    "saturation": "kg/m3",
    "free_saturation": "kg/m3",
}
"""Scalar values every material file states, and the unit it must state them in."""

OPTIONAL_UNITS = {"absorption_coefficient": "kg/(m2 s^0.5)"}

CATEGORIES = (
    "masonry",
    "mortar and plaster",
    "insulation",
    "board and timber",
    "published cases",
)

GROUPS = (
    "bricks",
    "stones",
    "concrete and blocks",
    "earth",
    "mortars, plasters and renders",
    "insulating plasters",
    "wood-fibre and plant insulation",
    "mineral insulation",
    "foams and vacuum panels",
    "timber and boards",
    "coatings and coverings",
    "membranes and foils",
    "published cases",
)
"""Shelves of the library, each a page of the documentation; files outside the library may leave them out."""

FORMS: dict[str, dict[str, Callable[[Section, forms.Scalars], Any]]] = {
    "storage": forms.STORAGE,
    "liquid": forms.LIQUID,
    "vapour": forms.VAPOUR,
    "heat": forms.HEAT,
}

VAPOUR_SPREAD_HUMIDITY, STORAGE_SPREAD_HUMIDITY, FILM_SPREAD_HUMIDITY = 0.5, 0.8, 0.5
"""Relative humidities [1] at which the spread of a curve is stated."""


def parse_material(path: Path) -> Material:
    """Read one material file.

    Parameters
    ----------
    path : Path
        TOML, laid out as docs/materials.md says.

    Returns
    -------
    Material

    Raises
    ------
    MaterialError
        One sentence with file and line.
    """
    data, lines = read_toml(path)
    return material_from(Section(path, "", complete_document(path, data, lines), lines), path.stem)


def material_from(top: Section, name: str) -> Material:
    """Make a material of the content of its file.

    Parameters
    ----------
    top : Section
        The whole file, nothing taken out of it yet.
    name : str
        Name of the material.

    Raises
    ------
    MaterialError
        One sentence with file and line.
    """
    scalars: forms.Scalars = {}
    sources: list[Source] = []
    for key, unit in UNITS.items():
        scalars[key] = _scalar(top, key, unit, sources)
    for key, unit in OPTIONAL_UNITS.items():
        if key in top:
            scalars[key] = _scalar(top, key, unit, sources)
    curves = _curves(top, scalars, sources)
    with _placed(top):
        material = Material(
            name=name,
            title=top.text("title"),
            category=top.text("category", CATEGORIES),
            group=top.text("group", GROUPS) if "group" in top else "",
            description=top.text("description"),
            timber=top.flag("timber", default=False),
            absorption_coefficient=scalars.get("absorption_coefficient"),
            **{key: scalars[key] for key in UNITS},
            storage=curves["storage"],
            liquid=curves["liquid"],
            vapour=curves["vapour"],
            heat=curves["heat"],
            mould_sensitivity=_class(top, "mould_sensitivity", SENSITIVITIES, sources),
            mould_decline=_class(top, "mould_decline", DECLINES, sources),
            sources=tuple(sources),
            content=_canonical(name, top.data),
        )
    top.finish()
    return material


def parse_film(path: Path) -> ThinLayer:
    """Read one film file.

    Parameters
    ----------
    path : Path
        TOML, laid out as docs/materials.md says.

    Returns
    -------
    ThinLayer

    Raises
    ------
    MaterialError
        One sentence with file and line.
    """
    data, lines = read_toml(path)
    return film_from(Section(path, "", data, lines), path.stem)


def film_from(top: Section, name: str) -> ThinLayer:
    """Make a film of the content of its file.

    Parameters
    ----------
    top : Section
        The whole file, nothing taken out of it yet.
    name : str
        Name of the film.

    Raises
    ------
    MaterialError
        One sentence with file and line.
    """
    section = top.section("s_d")
    _unit(section, "m")
    if "relative_humidity_percent" in section:
        humidity, values = section.numbers("relative_humidity_percent"), section.numbers("value_m")
        if len(humidity) != len(values) or np.any(np.diff(humidity) <= 0.0):
            section.fail("s_d needs one value per relative humidity, and humidity must rise")
        if min(values) <= 0.0:
            section.fail("s_d must be above 0", "value_m", found=list(values), expected="m")
        # Over its whole range s_d falls by orders of magnitude, so its logarithm is what runs straight.
        s_d = np.exp(np.interp(FILM_HUMIDITY, np.array(humidity) / 100.0, np.log(values)))
        stated = "over humidity, " + ", ".join(f"{value:g}" for value in values) + " m"
    else:
        value = section.number("value", "m")
        s_d, stated = np.full(FILM_HUMIDITY.shape, value), f"{value:g} m"
    check_s_d(s_d, section.where())
    origin = section.origin(stated, float(np.interp(FILM_SPREAD_HUMIDITY, FILM_HUMIDITY, s_d)))
    section.finish()
    liquid = top.section("liquid_open")
    liquid_open = liquid.flag("value")
    liquid_origin = liquid.origin("yes" if liquid_open else "no")
    liquid.finish()
    title, description = top.text("title"), top.text("description")
    group = top.text("group", GROUPS) if "group" in top else ""
    top.finish()
    with _placed(section):
        return ThinLayer(
            name=name,
            title=title,
            group=group,
            s_d=s_d,
            liquid_open=liquid_open,
            sources=(origin, liquid_origin),
            description=description,
            content=_canonical(name, top.data),
        )


def _scalar(top: Section, key: str, unit: str, sources: list[Source]) -> float:
    section = top.section(key)
    value = section.number("value", unit)
    _unit(section, unit, value)
    check_range(key, value, section.where("value"))  # before curves are made of it
    sources.append(section.origin(f"{value:g} {unit}" if unit != "1" else f"{value:g}", value))
    section.finish()
    return value


def _unit(section: Section, unit: str, value: float = 0.0) -> None:
    stated = section.text("unit")
    if stated != unit:
        section.fail(
            f"{section.name} is stated in the wrong unit",
            "unit",
            found=stated,
            expected=unit,
            hint=unit_hint(section.name, stated, value),
        )


def _class(top: Section, key: str, choices: tuple[str, ...], sources: list[Source]) -> Any:
    section = top.section(key)
    value = section.text("value", choices)
    sources.append(section.origin(value))
    section.finish()
    return value


def _curves(top: Section, scalars: forms.Scalars, sources: list[Source]) -> dict[str, Any]:
    """Read the four curves; spreads of storage and vapour stand at one humidity each, others are factors."""
    made: dict[str, Any] = {}
    for key, known in FORMS.items():
        section = top.section(key)
        with _placed(section):
            made[key] = forms.read_form(section, known, scalars)
        sources.append(section.origin(section.text("form"), _at_spread_humidity(key, made)))
        section.finish()
    return made


def _at_spread_humidity(key: str, made: dict[str, Any]) -> float:
    def water(humidity: float) -> FloatArray:
        return made["storage"].water_content(suction_at_reference(np.array([humidity])))

    if key == "storage":
        return float(water(STORAGE_SPREAD_HUMIDITY)[0])
    if key == "vapour":
        humidity = VAPOUR_SPREAD_HUMIDITY
        return float(made["vapour"].resistance_factor(np.array([humidity]), water(humidity))[0])
    return 1.0  # liquid and heat: low and high are factors on the curve


@contextmanager
def _placed(section: Section) -> Iterator[None]:
    """Give errors that know no file the place of the section."""
    try:
        yield
    except MaterialError as error:
        if error.where and str(section.path) in error.where:
            raise
        raise MaterialError(
            error.what, where=section.where(), found=error.found, expected=error.expected, hint=error.hint
        ) from None


def _canonical(name: str, data: dict[str, Any]) -> str:
    return json.dumps({"name": name, **data}, sort_keys=True, ensure_ascii=False)
