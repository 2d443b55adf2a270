"""A text table: comment lines with `# key: value`, one header row, then rows. Line numbers are kept."""

from __future__ import annotations

import csv
import math
import re
import warnings
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

MISSING = frozenset({"", "NA", "nan", "NaN"})
"""Cells that say that a value is missing."""

BYTE_ORDER_MARK: Final = "\ufeff"

_OFFSET = re.compile(r"([+-])(\d\d):?(\d\d)$")


class Table(Protocol):
    """What the reader of named columns needs of a table."""

    @property
    def path(self) -> Path:
        """Where it came from."""

    @property
    def comments(self) -> Mapping[str, str]:
        """What the file says about itself, keys in lower case."""

    @property
    def columns(self) -> Mapping[str, Sequence[str]]:
        """Columns by name."""

    @property
    def lines(self) -> Sequence[int]:
        """Number of each row, as `place` shows it."""

    @property
    def notes(self) -> Sequence[str]:
        """What was unusual and is understood all the same."""

    def place(self, row: int) -> str:
        """Return where a row stands."""

    def numbers(self, name: str, missing: frozenset[str] = MISSING) -> FloatArray:
        """Return a column as numbers, NaN where missing."""

    def times(self, name: str) -> NDArray[np.datetime64]:
        """Return a column as times."""


def read_text(path: Path) -> str:
    """Return the text of a file.

    Parameters
    ----------
    path : Path
        UTF-8 file, with or without a byte order mark.

    Returns
    -------
    str
        The text, without the mark.

    Raises
    ------
    ClimateError
        Where it cannot be read or is not text.
    """
    return _read(path).removeprefix(BYTE_ORDER_MARK)


def _read(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise ClimateError(
            "the file is not UTF-8 text", where=str(path), hint="save it as plain text in UTF-8"
        ) from error
    except OSError as error:
        raise ClimateError("the file cannot be read", where=str(path), found=error.strerror) from error


@dataclass(frozen=True)
class TextTable:
    """Cells of a table as text.

    Attributes
    ----------
    path : Path
        Where it came from.
    comments : dict
        `key: value` pairs from the comment lines, keys in lower case.
    columns : dict of str to sequence of str
        Cells by column name, in the order of the file.
    lines : list of int
        Line number of each row, counted from 1.
    decimal_comma : bool
        Whether decimals are written with a comma.
    notes : tuple of str
        What was unusual and is understood all the same.
    """

    path: Path
    comments: dict[str, str]
    columns: dict[str, Sequence[str]]
    lines: list[int]
    decimal_comma: bool = False
    notes: tuple[str, ...] = field(default=())

    def place(self, row: int) -> str:
        """Return `file:n` for a row."""
        return f"{self.path}:{self.lines[row]}"

    def numbers(self, name: str, missing: frozenset[str] = MISSING) -> FloatArray:
        """Return a column as numbers, NaN where a cell is missing.

        Parameters
        ----------
        name : str
            Column name in the file.
        missing : frozenset of str
            Cells that mean that a value is missing.

        Returns
        -------
        array, shape (rows,)
            In the unit of the file.

        Raises
        ------
        ClimateError
            Where a cell is not a finite number, with its line.
        """
        cells = self.columns[name]
        if self.decimal_comma:
            cells = [cell.replace(",", ".") for cell in cells]
        values = _fast_numbers(cells, missing)
        if values is None:
            values = np.array([_number(cell, missing) for cell in cells])
        if np.isinf(values).any():
            row = int(np.argmax(np.isinf(values)))
            raise ClimateError(
                f"column {name!r} holds no number",
                where=self.place(row),
                found=self.columns[name][row],
                expected="a number",
            )
        return values

    def times(self, name: str) -> NDArray[np.datetime64]:
        """Return a column as times, to the second, without a time zone.

        Parameters
        ----------
        name : str
            Column name in the file; cells in ISO 8601. A closing Z is allowed, and an offset such as +01:00
            is taken off where all cells have one.

        Returns
        -------
        array of datetime64[s], shape (rows,)
            The times as written.

        Raises
        ------
        ClimateError
            Where a cell is not a time, with its line.
        """
        cells = [cell.removesuffix("Z") for cell in self.columns[name]]
        if _has_offset(cells[0]):
            return self._times_with_offset(name, cells)
        try:
            times = np.array(cells, dtype="datetime64[s]")
        except ValueError:
            row = next(row for row, cell in enumerate(cells) if not _is_time(cell))
            raise self._bad_time(name, row) from None
        if np.isnat(times).any():
            raise self._bad_time(name, int(np.argmax(np.isnat(times))))
        return times

    def _times_with_offset(self, name: str, cells: list[str]) -> NDArray[np.datetime64]:
        times = np.empty(len(cells), dtype="datetime64[s]")
        for row, cell in enumerate(cells):
            offset = _OFFSET.search(cell) if _has_offset(cell) else None
            if offset is None or not _is_time(cell[: offset.start()]):
                raise self._bad_time(name, row)
            minutes = int(offset[2]) * 60 + int(offset[3])
            shift = np.timedelta64(minutes if offset[1] == "+" else -minutes, "m")
            times[row] = np.datetime64(cell[: offset.start()], "s") - shift
        return times

    def _bad_time(self, name: str, row: int) -> ClimateError:
        return ClimateError(
            f"column {name!r} holds no time",
            where=self.place(row),
            found=self.columns[name][row],
            expected="an ISO 8601 time such as 2023-01-01T01:00Z",
            hint="the order of day and month is not guessed" if "/" in self.columns[name][row] else None,
        )


def _fast_numbers(cells: Sequence[str], missing: frozenset[str]) -> FloatArray | None:
    """Return cells as numbers, None where one of them is none; five times as fast as cell by cell."""
    text = ",".join(["nan" if cell in missing else cell for cell in cells])
    with warnings.catch_warnings():
        warnings.simplefilter("error", DeprecationWarning)  # so numpy says that something is no number
        try:
            values = np.fromstring(text, sep=",")
        except (ValueError, DeprecationWarning):
            return None
    return values if len(values) == len(cells) == text.count(",") + 1 else None


def _number(cell: str, missing: frozenset[str]) -> float:
    """Return a cell as a number, infinite where it is none."""
    try:
        return math.nan if cell in missing else float(cell)
    except ValueError:
        return math.inf


def _has_offset(cell: str) -> bool:
    return "T" in cell.upper().replace(" ", "T") and bool(_OFFSET.search(cell[10:]))


def _is_time(cell: str) -> bool:
    try:
        return not np.isnat(np.datetime64(cell, "s"))
    except ValueError:
        return False


def read_table(path: Path) -> TextTable:
    """Read a table from a CSV file.

    Parameters
    ----------
    path : Path
        Cells separated by commas, or by semicolons or tabs (then decimals may be written with a comma); `#`
        comment lines before the header.

    Returns
    -------
    TextTable
        Its cells.

    Raises
    ------
    ClimateError
        Where the file is missing, empty, or a row has another number of cells than the header.
    """
    text = _read(path)
    notes = []
    if text.startswith(BYTE_ORDER_MARK):
        notes.append("the file starts with a byte order mark, which is left out")
        text = text.removeprefix(BYTE_ORDER_MARK)
    comments, lines, kept = _parted(text)
    if len(kept) < 2:
        raise ClimateError("the file holds no rows", where=str(path), expected="a header and hourly rows")
    mark = _separator(kept[0])
    header = _checked_header(path, lines[0], next(csv.reader(kept[:1], delimiter=mark)))
    columns = _columns(path, kept, lines, mark, header)
    decimal_comma = mark != "," and any("," in cell for cells in columns.values() for cell in cells[:1000])
    if mark != ",":
        decimals = "a comma" if decimal_comma else "a point"
        word = "semicolons" if mark == ";" else "tabs"
        notes.append(f"cells are separated by {word}, and decimals written with {decimals}")
    return TextTable(path, comments, columns, lines[1:], decimal_comma, tuple(notes))


def _parted(text: str) -> tuple[dict[str, str], list[int], list[str]]:
    """Return what comments say, and number and text of all other lines that are not empty."""
    rows = text.splitlines()
    comments: dict[str, str] = {}
    lines: list[int] = []
    kept: list[str] = []
    marked = [number for number, row in enumerate(rows, start=1) if "#" in row or not row or row.isspace()]
    for number in marked:
        row = rows[number - 1].lstrip()
        if row.startswith(("#", '"#')):
            key, colon, value = row.strip().strip('"').lstrip("# ").partition(":")
            if colon:
                comments[key.strip().lower()] = value.strip().strip(";,")
        elif row:
            continue
        rows[number - 1] = ""
    if marked:
        lines = [number for number, row in enumerate(rows, start=1) if row]
        kept = [row for row in rows if row]
    else:
        lines, kept = list(range(1, len(rows) + 1)), rows
    return comments, lines, kept


def _separator(header: str) -> str:
    if "," in header:
        return ","
    return ";" if ";" in header else "\t" if "\t" in header else ","


def _columns(
    path: Path, kept: list[str], lines: list[int], mark: str, header: list[str]
) -> dict[str, Sequence[str]]:
    width = len(header)
    plain = not any('"' in line for line in kept)
    if plain:
        lengths = [line.count(mark) + 1 for line in kept[1:]]
    else:
        rows = list(csv.reader(kept[1:], delimiter=mark))
        if len(rows) != len(kept) - 1:
            raise ClimateError(
                "a quoted cell runs over several lines", where=str(path), hint="look for a lone quote"
            )
        lengths = [len(row) for row in rows]
    if lengths.count(width) != len(lengths):
        row = next(row for row, length in enumerate(lengths) if length != width)
        raise ClimateError(
            "the row is cut off or has extra cells",
            where=f"{path}:{lines[row + 1]}",
            found=f"{lengths[row]} cells",
            expected=f"{width} as in the header",
        )
    cells: dict[str, Sequence[str]]
    if (
        plain
    ):  # one list of all cells, cut by stride: years of hours take a tenth of the time of a row at a time
        flat = mark.join(kept[1:]).split(mark)
        cells = {name: flat[number::width] for number, name in enumerate(header)}
    else:
        cells = dict(zip(header, zip(*rows, strict=True), strict=True))
    if any(" " in line for line in kept[1:]):
        return {name: [cell.strip() for cell in column] for name, column in cells.items()}
    return cells


def _checked_header(path: Path, number: int, row: list[str]) -> list[str]:
    header = [cell.strip() for cell in row]
    twice = sorted({name for name in header if header.count(name) > 1})
    if twice:
        raise ClimateError("a column name occurs twice", where=f"{path}:{number}", found=", ".join(twice))
    return header
