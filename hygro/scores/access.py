"""How scores read a dataset: what is missing is named, what is not finite or not hourly is refused."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from hygro.constants import HOURS_PER_YEAR
from hygro.errors import ResultError
from hygro.physics.typing import FloatArray

if TYPE_CHECKING:
    import xarray as xr

WHOLE_WALL = "whole wall"
HOURS_PER_DAY = 24
_NEARBY = 1e-9  # m; depths are sums of thicknesses and carry their rounding


def require(dataset: xr.Dataset, *names: str) -> None:
    """Raise a ResultError that names the first variable that the dataset lacks."""
    for name in names:
        if name not in dataset.variables:
            raise ResultError(
                f"the dataset has no variable {name}",
                expected=f"{name}, as described in docs/results.md",
                hint="leave out the scores that need it",
            )


def values_of(dataset: xr.Dataset, name: str) -> FloatArray:
    """Return a variable as finite double-precision numbers.

    Parameters
    ----------
    dataset : xarray.Dataset
        Result or logged data.
    name : str
        Variable.

    Returns
    -------
    array
        In the dimensions of the variable.

    Raises
    ------
    ResultError
        Where the variable is missing or holds a value that is not finite.
    """
    require(dataset, name)
    values = np.asarray(dataset[name].values, dtype=np.float64)
    if not np.isfinite(values).all():
        at = tuple(int(index) for index in np.argwhere(~np.isfinite(values))[0])
        place = ", ".join(
            f"{dim} {dataset[dim].values[index] if dim in dataset.coords else index}"
            for dim, index in zip(dataset[name].dims, at, strict=True)
        )
        raise ResultError(f"{name} is not finite", where=place, found=float(values[at]), hint="fill the gap")
    return values


def hourly_stamps(dataset: xr.Dataset) -> NDArray[np.datetime64]:
    """Return the time stamps after making sure that they go on hour by hour.

    Only a 29 February may be skipped, as records of one repeated year do.

    Returns
    -------
    array of datetime64[ns], shape (time,)

    Raises
    ------
    ResultError
        Where there is no time, no hour, or a gap.
    """
    require(dataset, "time")
    stamps: NDArray[np.datetime64] = dataset["time"].values.astype("datetime64[ns]")
    if stamps.size == 0:
        raise ResultError("the dataset holds no hour", expected="hourly values along time")
    hour = np.timedelta64(1, "h")
    steps = np.diff(stamps)
    next_days = (stamps[:-1].astype("datetime64[D]") + 1).astype("datetime64[D]")
    leap_day = np.char.endswith(np.datetime_as_string(stamps[:-1], unit="D"), "-02-29")
    midnight = stamps[:-1] == (next_days - 1).astype("datetime64[ns]")
    fine = (steps == hour) | ((steps == 25 * hour) & leap_day & midnight)
    if not fine.all():
        at = int(np.argmin(fine))
        raise ResultError(
            "the record does not go on hour by hour",
            where=f"after {moment(stamps[at])}",
            found=f"a step of {float(steps[at] / hour):g} h",
            expected="a step of 1 h",
        )
    return stamps


def last_year(hours: int) -> slice:
    """Return the last 8760 of so many hours, or all where there are fewer."""
    return slice(max(hours - HOURS_PER_YEAR, 0), hours)


def short_record_note(hours: int) -> str:
    """Say how short the record is where it does not fill a year, else nothing."""
    return f"record of {hours} h only, less than a year" if hours < HOURS_PER_YEAR else ""


def moment(stamp: np.datetime64) -> str:
    """Return a time stamp as ISO 8601 text to the minute."""
    return str(np.datetime_as_string(stamp, unit="m"))


def join_notes(*notes: str) -> str:
    """Join what there is to say."""
    return "; ".join(note for note in notes if note)


def labels_of(dataset: xr.Dataset, name: str) -> list[str]:
    """Return a coordinate of labels as plain text."""
    require(dataset, name)
    return [str(label) for label in dataset[name].values]


def flags_of(dataset: xr.Dataset, name: str) -> NDArray[np.bool_]:
    """Return a coordinate of flags as truth values."""
    require(dataset, name)
    return np.asarray(dataset[name].values).astype(bool)


def judged_places(dataset: xr.Dataset) -> NDArray[np.bool_]:
    """Tell which places limits apply to: those that the build-up has made or changed.

    The surface to the room always; interfaces and probes from the inner face of the old wall inwards.
    Further out lies the old wall's own fabric, which rain wets with and without insulation; a limit meant
    for the plane behind the insulation would fail every wall there. The external surface never, nor the faces
    inside a board that foils seal on both sides. In a dataset without the coordinate `layer_added`, such as
    logged data, every place but the external surface is judged.

    Returns
    -------
    array of bool, shape (place,)
    """
    kinds = np.array(labels_of(dataset, "place_kind"))
    indoors = ~np.isin(kinds, ("external surface", "sealed core"))
    if "layer_added" not in dataset.variables:
        return indoors
    added = flags_of(dataset, "layer_added")
    if not added.any():
        return kinds == "internal surface"
    old_face = values_of(dataset, "layer_start")[added].min()
    inward = values_of(dataset, "place_depth") >= old_face - _NEARBY
    return np.asarray((kinds == "internal surface") | (indoors & inward))


def first_peak(series: FloatArray) -> int:
    """Return the index of the largest value, the first one where several are equal."""
    return int(np.argmax(series))


def table_of(dataset: xr.Dataset, name: str, *dims: str) -> FloatArray:
    """Return a variable with its dimensions in the order asked for.

    Raises
    ------
    ResultError
        Where the variable is missing, not finite or has other dimensions.
    """
    require(dataset, name)
    found: tuple[Any, ...] = dataset[name].dims
    if sorted(map(str, found)) != sorted(dims):
        raise ResultError(f"{name} has the wrong dimensions", found=found, expected=f"{dims}")
    return values_of(dataset.assign({name: dataset[name].transpose(*dims)}), name)
