"""Parquet table with named columns to a `Record`; needs the package pyarrow."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from hygro.climate.csv_reader import read_columns
from hygro.climate.options import ReadOptions
from hygro.climate.record import Record
from hygro.climate.table import MISSING
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True)
class FrameTable:
    """A data frame as `hygro.climate.table.Table`.

    Attributes
    ----------
    path : Path
        Where it came from.
    frame : pandas.DataFrame
        The columns.
    """

    path: Path
    frame: pd.DataFrame

    @property
    def comments(self) -> Mapping[str, str]:
        """What the writer put beside the columns (`DataFrame.attrs`), keys in lower case."""
        return {str(key).lower(): str(value) for key, value in self.frame.attrs.items()}

    @property
    def columns(self) -> Mapping[str, Any]:
        """Columns by name."""
        return {str(name): self.frame[name] for name in self.frame.columns}

    @property
    def lines(self) -> Sequence[int]:
        """Rows counted from 1."""
        return range(1, len(self.frame) + 1)

    @property
    def notes(self) -> Sequence[str]:
        """Nothing is unusual in a typed table."""
        return ()

    def place(self, row: int) -> str:
        """Return `file:n` for a row."""
        return f"{self.path}:{row + 1}"

    def numbers(self, name: str, missing: frozenset[str] = MISSING) -> FloatArray:
        """Return a column as numbers, NaN where missing.

        Parameters
        ----------
        name : str
            Column.
        missing : frozenset of str
            Numbers, as text, that mean that a value is missing.

        Returns
        -------
        array, shape (rows,)
            In the unit of the file.

        Raises
        ------
        ClimateError
            Where a value is no finite number.
        """
        try:
            values = self.frame[name].to_numpy(dtype=float, na_value=np.nan, copy=True)
        except (TypeError, ValueError) as error:
            raise ClimateError(
                f"column {name!r} holds no numbers",
                where=str(self.path),
                found=str(self.frame[name].dtype),
                expected="a column of numbers",
            ) from error
        for code in missing:
            try:
                values[values == float(code)] = np.nan
            except ValueError:
                continue
        if np.isinf(values).any():
            row = int(np.argmax(np.isinf(values)))
            raise ClimateError(
                f"column {name!r} holds no number", where=self.place(row), found=float(values[row])
            )
        return values

    def times(self, name: str) -> NDArray[np.datetime64]:
        """Return a column as times to the second; UTC where the column knows its time zone.

        Raises
        ------
        ClimateError
            Where it holds no times.
        """
        import pandas as pd

        column = self.frame[name]
        if isinstance(column.dtype, pd.DatetimeTZDtype):
            column = column.dt.tz_convert("UTC").dt.tz_localize(None)
        try:
            times = column.to_numpy().astype("datetime64[s]")
        except (TypeError, ValueError):
            times = np.array(["NaT"], dtype="datetime64[s]")
        if np.issubdtype(column.dtype, np.number) or np.isnat(times).any():
            row = int(np.argmax(np.isnat(times)))
            raise ClimateError(
                f"column {name!r} holds no time",
                where=self.place(row),
                found=str(column.iloc[row]),
                expected="a column of times",
            )
        return times


def read_parquet(path: Path, options: ReadOptions) -> Record:
    """Read an hourly weather table from Parquet.

    Parameters
    ----------
    path : Path
        The file; columns are named as in CSV or mapped.
    options : ReadOptions
        As for CSV; the location has to be given unless it was stored as attributes of the data frame.

    Returns
    -------
    Record
        In canonical units, unchecked.

    Raises
    ------
    ClimateError
        Where pyarrow is not installed, or the file can't be read.
    """
    import pandas as pd

    try:
        frame = pd.read_parquet(path, engine="pyarrow")
    except ImportError as error:
        raise ClimateError(
            "reading Parquet needs the package pyarrow, which is not installed",
            where=str(path),
            hint="install pyarrow, or save the table as CSV",
        ) from error
    except FileNotFoundError as error:
        raise ClimateError("the file cannot be read", where=str(path), found=error.strerror) from error
    except (OSError, ValueError) as error:
        raise ClimateError(
            "the file can't be read as Parquet", where=str(path), found=str(error).splitlines()[0]
        ) from error
    if not len(frame):
        raise ClimateError("the file holds no rows", where=str(path), expected="hourly rows")
    if not isinstance(frame.index, pd.RangeIndex):
        frame = frame.reset_index()
    return read_columns(FrameTable(path, frame), options)
