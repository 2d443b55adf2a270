"""Tables of monthly numbers in TOML: reading and refusing, for normals and for change factors."""

from __future__ import annotations

import difflib
import tomllib
from pathlib import Path
from typing import Any

import numpy as np

from hygro.climate.table import read_text
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray


def read_toml(path: Path) -> dict[str, Any]:
    """Return what a TOML file holds.

    Raises
    ------
    ClimateError
        Where it cannot be read or is no TOML.
    """
    try:
        return tomllib.loads(read_text(path))
    except tomllib.TOMLDecodeError as error:
        raise ClimateError("the file is no TOML", where=str(path), found=str(error)) from None


def refuse_unknown(path: Path, table: str, data: dict[str, Any], known: tuple[str, ...]) -> None:
    """Refuse keys that are not known, with a near miss.

    Raises
    ------
    ClimateError
        Naming the first.
    """
    for key in data:
        if key not in known:
            near = difflib.get_close_matches(key, known, n=1)
            raise ClimateError(
                f"the key {table}{key} is not known",
                where=str(path),
                expected="one of " + ", ".join(known),
                hint=f"did you mean {near[0]}?" if near else None,
            )


def table_of(path: Path, data: dict[str, Any], name: str) -> dict[str, Any]:
    """Return a table that must be there and hold something.

    Raises
    ------
    ClimateError
        Where it is missing or empty.
    """
    table = data.get(name)
    if not isinstance(table, dict) or not table:
        raise ClimateError(f"the table [{name}] is missing or empty", where=str(path))
    return table


def words_of(path: Path, data: dict[str, Any], key: str) -> str:
    """Return words that must be there.

    Raises
    ------
    ClimateError
        Where they are missing.
    """
    text = data.get(key)
    if not isinstance(text, str) or not text.strip():
        raise ClimateError(f"{key} is missing", where=str(path), expected="words")
    return text.strip()


def is_number(value: Any, low: float, high: float) -> bool:
    """Tell whether a value is a number within limits; true and false are none."""
    return isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high


def monthly_values(path: Path, data: dict[str, Any], key: str, limits: tuple[float, float]) -> FloatArray:
    """Return twelve numbers of a table, January first.

    Parameters
    ----------
    path : Path
        For messages.
    data : dict
        The table.
    key : str
        Which.
    limits : (float, float)
        Least and greatest that are possible.

    Returns
    -------
    array, shape (12,)
        As written.

    Raises
    ------
    ClimateError
        Where they are not twelve numbers within the limits.
    """
    values = data.get(key)
    low, high = limits
    if not isinstance(values, list) or len(values) != 12 or not all(is_number(v, low, high) for v in values):
        raise ClimateError(
            f"{key} is no list of twelve months",
            where=str(path),
            found=values,
            expected=f"12 numbers from {low:g} to {high:g}, January first",
        )
    return np.array(values, dtype=float)
