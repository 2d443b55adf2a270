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
from hygro.materials.film import FILM_HUMIDITY, ThinLayer
from hygro.materials.material import Material
from hygro.materials.section import Section
from hygro.materials.sources import DECLINES, SENSITIVITIES, Source
from hygro.materials.tomlfile import read_toml

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
    top = Section(path, "", data, lines)
    scalars: forms.Scalars = {}
    sources: list[Source] = []
    for key, unit in UNITS.items():
        scalars[key] = _scalar(top, key, unit, sources)
    for key, unit in OPTIONAL_UNITS.items():
        if key in top:
            scalars[key] = _scalar(top, key, unit, sources)
    with _placed(top):
        material = Material(
            name=path.stem,
            title=top.text("title"),
            category=top.text("category", CATEGORIES),
            description=top.text("description"),
            timber=top.flag("timber", default=False),
            absorption_coefficient=scalars.get("absorption_coefficient"),
            **{key: scalars[key] for key in UNITS},
            storage=_curve(top, "storage", forms.STORAGE, scalars, sources),
            liquid=_curve(top, "liquid", forms.LIQUID, scalars, sources),
            vapour=_curve(top, "vapour", forms.VAPOUR, scalars, sources),
            heat=_curve(top, "heat", forms.HEAT, scalars, sources),
            mould_sensitivity=_class(top, "mould_sensitivity", SENSITIVITIES, sources),
            mould_decline=_class(top, "mould_decline", DECLINES, sources),
            sources=tuple(sources),
            content=_canonical(path, data),
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
    top = Section(path, "", data, lines)
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
    origin = section.origin(stated)
    section.finish()
    liquid = top.section("liquid_open")
    liquid_open = liquid.flag("value")
    liquid_origin = liquid.origin("yes" if liquid_open else "no")
    liquid.finish()
    title, description = top.text("title"), top.text("description")
    top.finish()
    with _placed(section):
        return ThinLayer(
            name=path.stem,
            title=title,
            s_d=s_d,
            liquid_open=liquid_open,
            sources=(origin, liquid_origin),
            description=description,
            content=_canonical(path, data),
        )


def _scalar(top: Section, key: str, unit: str, sources: list[Source]) -> float:
    section = top.section(key)
    value = section.number("value", unit)
    _unit(section, unit)
    check_range(key, value, section.where("value"))  # before curves are made of it
    sources.append(section.origin(f"{value:g} {unit}" if unit != "1" else f"{value:g}"))
    section.finish()
    return value


def _unit(section: Section, unit: str) -> None:
    stated = section.text("unit")
    if stated != unit:
        section.fail(f"{section.name} is stated in the wrong unit", "unit", found=stated, expected=unit)


def _class(top: Section, key: str, choices: tuple[str, ...], sources: list[Source]) -> Any:
    section = top.section(key)
    value = section.text("value", choices)
    sources.append(section.origin(value))
    section.finish()
    return value


def _curve(
    top: Section,
    key: str,
    known: dict[str, Callable[[Section, forms.Scalars], forms.Curve]],
    scalars: forms.Scalars,
    sources: list[Source],
) -> forms.Curve:
    section = top.section(key)
    with _placed(section):
        curve = forms.read_form(section, known, scalars)
    sources.append(section.origin(section.text("form")))
    section.finish()
    return curve


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


def _canonical(path: Path, data: dict[str, Any]) -> str:
    return json.dumps({"name": path.stem, **data}, sort_keys=True, ensure_ascii=False)
