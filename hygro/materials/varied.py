"""A material or film with one value moved within its spread, made anew from the content of its file.

What the file ties to the value moves with it, nothing else does:

- porosity takes saturation and free saturation along in proportion;
- dry conductivity scales a conductivity that is tabulated over water content;
- density scales what is stated by mass percent, and free saturation with it where no liquid moves: there it
  is the water that the solid binds; in open fibre (`OPEN_FIBRE`) porosity and saturation follow from the
  density of the fibres;
- the absorption coefficient and free saturation act through the curves that are made of them;
- the vapour curve is scaled as a whole; the storage curve up to `DRY_ENOUGH`, while the wet end stays.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from hygro.errors import MaterialError
from hygro.materials.document import resistance_at
from hygro.materials.film import FILM_HUMIDITY, ThinLayer
from hygro.materials.material import Material
from hygro.materials.parse import (
    FILM_SPREAD_HUMIDITY,
    OPTIONAL_UNITS,
    STORAGE_SPREAD_HUMIDITY,
    UNITS,
    VAPOUR_SPREAD_HUMIDITY,
    film_from,
    material_from,
)
from hygro.materials.section import Section
from hygro.materials.sources import End, Source

DRY_ENOUGH = 98.0
"""Relative humidity [%] up to which a storage curve is scaled; beyond, capillaries fill and w_f rules."""

OPEN_FIBRE = 0.9
"""Porosity [1] from which on insulation without liquid transport is taken for loose fibre."""

MOST_TRIALS, SETTLED = 30, 1e-12
"""Trials to bring a storage curve to its target, and the share it may miss it by."""

_DATA = dict[str, Any]


def varied_material(material: Material, key: str, end: End | float) -> Material:
    """Move one value of a material; see `Material.with_value`.

    Raises
    ------
    MaterialError
        As told there.
    """
    data, source = _content(material.content, material.name, key, material.sources)
    target = _target(material.name, source, end)
    if key in UNITS or key in OPTIONAL_UNITS:
        _set_scalar(material.name, data, key, target)
    elif key == "vapour":
        _scale(data[key], ("resistance_factor", "dry_cup", "wet_cup"), target / _at_spread(material, key))
    elif key == "storage":
        _set_storage(material, data, target)
    else:
        raise MaterialError(f"{key} cannot be varied", where=material.name)
    _move_spreads(material, data, key)
    return material_from(*_labelled(data, material.name, key, source, end))


def varied_film(film: ThinLayer, key: str, end: End | float) -> ThinLayer:
    """Move the resistance of a film; see `ThinLayer.with_value`.

    Raises
    ------
    MaterialError
        As told there.
    """
    data, source = _content(film.content, film.name, key, film.sources)
    target = _target(film.name, source, end)
    _scale(data[key], ("value", "value_m"), target / float(film.s_d[50]))
    return film_from(*_labelled(data, film.name, key, source, end))


def value_at_spread(thing: Material | ThinLayer, key: str) -> float | None:
    """Return the number that a value or curve has where its spread is stated.

    Parameters
    ----------
    thing : Material or ThinLayer
        Whose value.
    key : str
        As in `Source.key`.

    Returns
    -------
    float or None
        The scalar itself; kg/m3 at 80 % for "storage", mu at 50 % for "vapour", m at 50 % for "s_d". None
        for classes, and for curves whose spread would be a factor.
    """
    if isinstance(thing, ThinLayer):
        return float(np.interp(FILM_SPREAD_HUMIDITY, FILM_HUMIDITY, thing.s_d)) if key == "s_d" else None
    if key in ("storage", "vapour"):
        return _at_spread(thing, key)
    return getattr(thing, key) if key in UNITS or key in OPTIONAL_UNITS else None


def _at_spread(material: Material, key: str) -> float:
    """Value of a curve at the humidity where its spread is stated."""
    if key == "storage":
        return float(material.water_content(STORAGE_SPREAD_HUMIDITY))
    return resistance_at(material, VAPOUR_SPREAD_HUMIDITY)


def _content(content: str, name: str, key: str, sources: Sequence[Source]) -> tuple[_DATA, Source]:
    if not content:
        raise MaterialError(
            "a value can only be varied where the file says what hangs on it",
            where=name,
            hint="what was made in Python is made anew with another value",
        )
    data = json.loads(content)
    del data["name"]
    for source in sources:
        if source.key == key:
            return data, source
    raise MaterialError(
        "there is no such value to vary",
        where=name,
        found=key,
        expected="one of " + ", ".join(source.key for source in sources if source.low is not None),
    )


def _target(name: str, source: Source, end: End | float) -> float:
    if source.low is None or source.high is None:
        raise MaterialError(f"{source.key} states no spread", where=name)
    if isinstance(end, str):
        ends = {"low": source.low, "high": source.high}
        if end not in ends:
            raise MaterialError("a spread has the ends low and high", where=name, found=end)
        return ends[end]
    if not source.low <= end <= source.high:
        raise MaterialError(
            f"{source.key} would leave its spread",
            where=name,
            found=end,
            expected=f"{source.low:g} to {source.high:g}",
        )
    return float(end)


def _move_spreads(material: Material, data: _DATA, varied: str) -> None:
    """Let the spreads of curves that moved along keep their width, in proportion."""
    stated = [key for key in ("storage", "vapour") if key != varied and "low" in data[key]]
    moved = _trial(data, material.name)
    for key in stated:
        _scale(data[key], ("low", "high"), _at_spread(moved, key) / _at_spread(material, key))


def _trial(data: _DATA, name: str) -> Material:
    """Make the material without its spreads, which the trial may leave."""
    bare = {
        key: {k: v for k, v in section.items() if k not in ("low", "high", "spread")}
        if isinstance(section, dict)
        else section
        for key, section in data.items()
    }
    return material_from(Section(Path(name), "", bare, {}), name)


def _set_scalar(name: str, data: _DATA, key: str, target: float) -> None:
    share = target / data[key]["value"]
    if key == "absorption_coefficient" and data["liquid"]["form"] != "absorption":
        raise MaterialError(
            "the absorption coefficient is for information: the liquid curve does not follow from it",
            where=name,
        )
    data[key]["value"] = target
    if key == "porosity":
        _scale(data["saturation"], ("value", "low", "high"), share)
        _scale(data["free_saturation"], ("value", "low", "high"), share)
    if key == "density" and data["liquid"]["form"] == "none" and "water_mass_percent" in data["storage"]:
        _scale(data["free_saturation"], ("value", "low", "high"), share)
        _refill(data, share)
    if key == "conductivity_dry":
        _scale(data["heat"], ("conductivity_W_mK",), share)


def _refill(data: _DATA, share: float) -> None:
    """Give open fibre of another density the porosity that its fibres leave."""
    porosity = data["porosity"]["value"]
    if porosity < OPEN_FIBRE:
        return
    for key in ("low", "high", "spread"):
        data["porosity"].pop(key, None)
    data["porosity"]["value"] = 1.0 - (1.0 - porosity) * share
    _scale(data["saturation"], ("value", "low", "high"), data["porosity"]["value"] / porosity)


def _set_storage(material: Material, data: _DATA, target: float) -> None:
    section = data["storage"]
    if section["form"] == "hyperbolic":
        section.pop("water_mass_percent", None)
        section["relative_humidity_percent"] = [100.0 * STORAGE_SPREAD_HUMIDITY]
        section["water_content_kg_m3"] = [target]
        return
    if section["form"] != "points":
        raise MaterialError(
            f"a storage curve of the form {section['form']} cannot be varied", where=material.name
        )
    reached = _at_spread(material, "storage")
    for _ in range(MOST_TRIALS):  # one is enough where 80 % is a point; else the cubic bends a little
        _scale_dry_points(section, target / reached)
        reached = _at_spread(_trial(data, material.name), "storage")
        if abs(reached / target - 1.0) < SETTLED:
            return
    raise MaterialError("the storage curve cannot be moved there", where=material.name, found=target)


def _scale_dry_points(section: _DATA, share: float) -> None:
    humidity = section.get("relative_humidity_percent", [])
    for key in ("water_content_kg_m3", "water_mass_percent"):
        if key in section:
            pairs = zip(humidity, section[key], strict=True)
            section[key] = [value * share if phi <= DRY_ENOUGH else value for phi, value in pairs]


def _scale(section: _DATA, keys: tuple[str, ...], share: float) -> None:
    for key in keys:
        value = section.get(key)
        if isinstance(value, list):
            section[key] = [item * share for item in value]
        elif value is not None:
            section[key] = value * share


def _labelled(data: _DATA, name: str, key: str, source: Source, end: End | float) -> tuple[Section, str]:
    what = end if isinstance(end, str) else f"{end:g}"
    words = key.replace("_", " ")
    data["title"] = f"{data['title']}, {words} {what}"
    data[key]["source"] = f"varied: {words} {what} within {source.low:g} to {source.high:g}; {source.source}"
    return Section(Path(name), "", data, {}), f"{name} ({key} {what})"
