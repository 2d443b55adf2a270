"""A text table: comment lines with `# key: value`, one header row, then rows. Line numbers are kept."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

MISSING = frozenset({"", "NA", "nan", "NaN"})
"""Cells that say that a value is missing."""


def read_text(path: Path) -> str:
    """Return the text of a file.

    Parameters
    ----------
    path : Path
        UTF-8 file, with or without a byte order mark.

    Returns
    -------
    str
        The text.

    Raises
    ------
    ClimateError
        Where it cannot be read or is not text.
    """
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise ClimateError(
            "the file is not UTF-8 text", where=str(path), hint="save it as plain CSV in UTF-8"
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
    columns : dict of str to list of str
        Cells by column name, in the order of the file.
    lines : list of int
        Line number of each row, counted from 1.
    """

    path: Path
    comments: dict[str, str]
    columns: dict[str, list[str]]
    lines: list[int]

    def place(self, row: int) -> str:
        """Return `file:n` for a row."""
        return f"{self.path}:{self.lines[row]}"

    def numbers(self, name: str) -> FloatArray:
        """Return a column as numbers, NaN where a cell is missing.

        Parameters
        ----------
        name : str
            Column name in the file.

        Returns
        -------
        array, shape (rows,)
            In the unit of the file.

        Raises
        ------
        ClimateError
            Where a cell is not a finite number, with its line.
        """
        values = np.empty(len(self.lines))
        for row, cell in enumerate(self.columns[name]):
            try:
                values[row] = math.nan if cell in MISSING else float(cell)
            except ValueError:
                values[row] = math.inf
            if math.isinf(values[row]):
                raise ClimateError(
                    f"column {name!r} holds no number", where=self.place(row), found=cell, expected="a number"
                )
        return values

    def times(self, name: str) -> NDArray[np.datetime64]:
        """Return a column as times, to the second, without a time zone.

        Parameters
        ----------
        name : str
            Column name in the file; cells in ISO 8601, a closing Z is allowed.

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
        try:
            times = np.array(cells, dtype="datetime64[s]")
        except ValueError:
            row = next(row for row, cell in enumerate(cells) if not _is_time(cell))
            raise self._bad_time(name, row) from None
        if np.isnat(times).any():
            raise self._bad_time(name, int(np.argmax(np.isnat(times))))
        return times

    def _bad_time(self, name: str, row: int) -> ClimateError:
        return ClimateError(
            f"column {name!r} holds no time",
            where=self.place(row),
            found=self.columns[name][row],
            expected="an ISO 8601 time such as 2023-01-01T01:00Z",
        )


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
        CSV with comma, point as decimal mark, `#` comment lines before the header.

    Returns
    -------
    TextTable
        Its cells.

    Raises
    ------
    ClimateError
        Where the file is missing, empty, or a row has another number of cells than the header.
    """
    comments: dict[str, str] = {}
    header: list[str] | None = None
    rows: list[list[str]] = []
    lines: list[int] = []
    for number, row in enumerate(csv.reader(read_text(path).splitlines()), start=1):
        if not row:
            continue
        if row[0].lstrip().startswith("#"):
            key, colon, value = ",".join(row).lstrip("# ").partition(":")
            if colon:
                comments[key.strip().lower()] = value.strip()
        elif header is None:
            header = _checked_header(path, number, row)
        else:
            if len(row) != len(header):
                raise ClimateError(
                    "the row is cut off or has extra cells",
                    where=f"{path}:{number}",
                    found=f"{len(row)} cells",
                    expected=f"{len(header)} as in the header",
                )
            rows.append([cell.strip() for cell in row])
            lines.append(number)
    if header is None or not rows:
        raise ClimateError("the file holds no rows", where=str(path), expected="a header and hourly rows")
    cells = dict(zip(header, map(list, zip(*rows, strict=True)), strict=True))
    return TextTable(path, comments, cells, lines)


def _checked_header(path: Path, number: int, row: list[str]) -> list[str]:
    header = [cell.strip() for cell in row]
    if len(header) == 1 and (";" in header[0] or "\t" in header[0]):
        raise ClimateError(
            "the cells are not separated by commas",
            where=f"{path}:{number}",
            found=header[0][:60],
            expected="commas between cells and a point in decimals",
        )
    twice = sorted({name for name in header if header.count(name) > 1})
    if twice:
        raise ClimateError(
            "a column name occurs twice", where=f"{path}:{number}", found=", ".join(twice)
        )
    return header
