"""Numbers, places and scores in words that a client reads without a glossary."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from hygro.case.variants import BARE_WALL, Variant
from hygro.decide.words import MONTHS, value_words
from hygro.scores.definitions import DEFINITIONS
from hygro.scores.states import Score

COMPASS: Final = {
    "N": "north",
    "NE": "north-east",
    "E": "east",
    "SE": "south-east",
    "S": "south",
    "SW": "south-west",
    "W": "west",
    "NW": "north-west",
}

_QUANTITY: Final = {
    "interface_relative_humidity": "relative humidity",
    "mould_index_interface": "mould growth",
    "mould_index_surface": "mould growth",
    "timber_moisture_content": "moisture in timber",
}
_STATES: Final = {
    "within": "is within every limit",
    "exceeded": "exceeds a limit",
    "for information": "is not judged",
}
_SURFACE: Final = "on the surface to the room"


@dataclass(frozen=True)
class Where:
    """Where a place lies, as far as words need it.

    Parameters
    ----------
    kind : str
        Kind of the place, as in `hygro.results.PlaceInfo`; "layer" for a layer, "" where unknown.
    outer, inner : str
        Names of the layers on both sides of an interface; empty where unknown.
    """

    kind: str
    outer: str = ""
    inner: str = ""


def elevation_words(name: str) -> str:
    """Return an elevation in words: "south-west (SW)"; degrees stay as they are."""
    if not name:
        return "the wall"
    return f"{COMPASS[name]} ({name})" if name in COMPASS else name


def variant_words(build_up: str, thickness_mm: float | None) -> str:
    """Return a variant in words: build-up and thickness."""
    return build_up if thickness_mm is None else f"{build_up}, {thickness_mm:g} mm"


def number(value: float | None, digits: int = 0) -> str:
    """Return a number with so many decimals and a true minus, a dash where there is none."""
    if value is None:
        return "–"
    text = f"{value:.{digits}f}".replace("-", "\N{MINUS SIGN}")
    return text.lstrip("\N{MINUS SIGN}") if float(f"{value:.{digits}f}") == 0.0 else text


def pretty_unit(unit: str) -> str:
    """Return a unit with its powers raised."""
    return unit.replace("m2", "m²").replace("m3", "m³")


def capital(text: str) -> str:
    """Return a text that begins with a capital letter."""
    return text[:1].upper() + text[1:]


def day_words(when: str) -> str:
    """Return day and month of an ISO 8601 time: "12 Feb"; the year of a repeated record means nothing."""
    day = when.partition("T")[0].split("-")
    if len(day) != 3 or not (day[1].isdigit() and day[2].isdigit()):
        return ""
    return f"{int(day[2])} {MONTHS[(int(day[1]) - 1) % 12]}"


def state_words(state: str) -> str:
    """Return what a wall in a state does, for the middle of a sentence."""
    return _STATES.get(state, f"is {state}")


def table_value(score: Score | None) -> str:
    """Return the value of a score for a table, where the column has no room for "by mass"."""
    return "–" if score is None else pretty_unit(value_words(score)).replace(" by mass", "")


def score_value(score: Score) -> str:
    """Return the value of a score against its limit: "93.1 % of at most 95 %"."""
    found = pretty_unit(value_words(score))
    if score.limit is None:
        return found
    unit = "" if score.unit == "1" else f" {pretty_unit(score.unit)}"
    if score.name.startswith("mould_index"):
        found = f"index {found}"
    return f"{found}, limit {score.limit:g}{unit}"


def where_words(where: Where, place: str, variant: Variant | None) -> str:
    """Say where a place lies.

    Parameters
    ----------
    where : Where
        What is known of the place.
    place : str
        Its label.
    variant : Variant or None
        Tells the old wall, the build-up and the layer that varies.

    Returns
    -------
    str
        Begins with a preposition.
    """
    if where.kind == "internal surface":
        return _SURFACE
    if where.kind == "external surface":
        return "on the external surface"
    if where.kind == "probe":
        return f"at {place}"
    if where.kind == "layer":
        return f"in the layer {place}"
    if where.kind != "interface" or not (where.outer and where.inner) or variant is None:
        return f"at {place}"
    return _interface_words(where, variant)


def _interface_words(where: Where, variant: Variant) -> str:
    added = {layer.name for layer in variant.layers if layer.part == "build-up"}
    varied = {layer.name for layer in variant.layers if layer.varied}
    at_old_wall = where.outer not in added and where.inner in added
    if where.inner in varied:
        return "where the insulation meets the old wall" if at_old_wall else "behind the insulation"
    if at_old_wall:
        return "where the new layers meet the old wall"
    if where.outer in varied:
        return "on the room side of the insulation"
    return f"between {where.outer} and {where.inner}"


def governs_words(score: Score | None, where: Where, variant: Variant | None) -> str:
    """Say in plain language what a score is about and where.

    Parameters
    ----------
    score : Score or None
        The governing score.
    where : Where
        What is known of its place.
    variant : Variant or None
        Of the verdict.

    Returns
    -------
    str
        For example "relative humidity where the insulation meets the old wall".
    """
    if score is None:
        return "nothing is judged"
    if score.name == "wall_water_change":
        return "the wall holds more water each year"
    quantity = _QUANTITY.get(score.name)
    if quantity is None:
        definition = DEFINITIONS.get(score.name)
        return f"{definition.title if definition else score.name}, {score.place}"
    if score.name == "mould_index_surface":
        return f"{quantity} {_SURFACE}"
    return f"{quantity} {where_words(where, score.place, variant)}"


def join_words(parts: Sequence[str]) -> str:
    """Join a list as a sentence does: "a, b and c"."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


def is_bare(build_up: str) -> bool:
    """Tell whether a build-up is none."""
    return build_up == BARE_WALL
