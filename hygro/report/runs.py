"""What the report takes from each result file beside the pictures."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from hygro.constants import HOURS_PER_YEAR
from hygro.errors import ResultError
from hygro.report.inputs import Inputs
from hygro.report.words import Where
from hygro.results.files import load
from hygro.scores.access import labels_of, last_year, values_of

if TYPE_CHECKING:
    import xarray as xr

    from hygro.decide.verdict import Verdict

_NEARBY = 3e-4  # m; the faces of a film are kept at the centres of the cells beside it, 0.1 mm thick


@dataclass(frozen=True)
class ClimateYear:
    """Last simulated year on both sides of a wall.

    Parameters
    ----------
    outdoor_mean, outdoor_least : float
        Mean, and mean of the coldest 24 hours [degC].
    outdoor_humidity : float
        Mean [%].
    room_winter, room_summer : tuple of float
        Mean temperature [degC] and humidity [%] of the room in the coldest and warmest 30 days outdoors.
    """

    outdoor_mean: float
    outdoor_least: float
    outdoor_humidity: float
    room_winter: tuple[float, float]
    room_summer: tuple[float, float]


@dataclass(frozen=True)
class RunSummary:
    """One result file in brief.

    Parameters
    ----------
    slug : str
        Of the variant.
    places : mapping
        Where each place and layer lies, by label.
    climate : ClimateYear
        Both sides.
    years : float
        Simulated [years of 8760 h].
    steady_year : int
        0 where the wall did not come to repeat itself, or that was not asked for.
    balance : float
        Largest error of the yearly heat and moisture balances [1].
    materials : tuple of mapping
        Name, title, digest and sources.
    attrs : mapping
        Attributes of the dataset.
    """

    slug: str
    places: Mapping[str, Where]
    climate: ClimateYear
    years: float
    steady_year: int
    balance: float
    materials: tuple[Mapping[str, Any], ...]
    attrs: Mapping[str, Any]


def load_run(inputs: Inputs, verdict: Verdict) -> xr.Dataset:
    """Load the result file of a verdict.

    Raises
    ------
    ResultError
        It is missing or damaged.
    """
    return load(inputs.out_dir / (verdict.run_file or f"runs/{verdict.slug}.nc"))


def summarise_runs(inputs: Inputs) -> dict[str, RunSummary]:
    """Summarise the result of each variant that was computed, by slug.

    Raises
    ------
    ResultError
        A result file is missing, damaged or does not belong to the verdict.
    """
    return {
        verdict.slug: summarise(load_run(inputs, verdict), verdict)
        for verdict in inputs.verdicts
        if verdict.status == "complete"
    }


def summarise(dataset: xr.Dataset, verdict: Verdict) -> RunSummary:
    """Summarise one result.

    Parameters
    ----------
    dataset : xarray.Dataset
        Result of the variant.
    verdict : Verdict
        On it.

    Raises
    ------
    ResultError
        The result lacks something, or is one of another build-up.
    """
    if str(dataset.attrs.get("build_up", "")) != verdict.build_up:
        raise ResultError(
            "the result file does not belong to the verdict",
            where=verdict.slug,
            found=str(dataset.attrs.get("build_up", "")),
            expected=verdict.build_up,
            hint="run the assessment again",
        )
    balances = np.concatenate([values_of(dataset, "balance_heat"), values_of(dataset, "balance_moisture")])
    return RunSummary(
        slug=verdict.slug,
        places=_places(dataset),
        climate=_climate(dataset),
        years=dataset.sizes["time"] / HOURS_PER_YEAR,
        steady_year=int(dataset.attrs.get("steady_year", 0)),
        balance=float(np.abs(balances).max()),
        materials=tuple(json_attribute(dataset, "materials", list)),
        attrs=dict(dataset.attrs),
    )


def json_attribute(dataset: xr.Dataset, name: str, kind: type) -> Any:
    """Return an attribute that holds JSON.

    Raises
    ------
    ResultError
        It is no JSON, or of another kind than asked for.
    """
    try:
        value = json.loads(dataset.attrs.get(name) or ("[]" if kind is list else "{}"))
    except (TypeError, ValueError) as error:
        raise ResultError(f"the attribute {name} is no JSON", found=str(error)) from error
    if not isinstance(value, kind):
        raise ResultError(f"the attribute {name} is unusable", found=value, expected=f"a {kind.__name__}")
    return value


def _places(dataset: xr.Dataset) -> dict[str, Where]:
    layers = labels_of(dataset, "layer")
    starts = values_of(dataset, "layer_start")
    found = {layer: Where("layer") for layer in layers}
    rows = zip(
        labels_of(dataset, "place"),
        labels_of(dataset, "place_kind"),
        values_of(dataset, "place_depth"),
        strict=True,
    )
    for label, kind, depth in rows:
        at = np.flatnonzero(np.abs(starts - depth) <= _NEARBY)
        if kind == "interface" and at.size and at[0] > 0:
            found[label] = Where(kind, layers[int(at[0]) - 1], layers[int(at[0])])
        else:
            found[label] = Where(kind)
    return found


def _climate(dataset: xr.Dataset) -> ClimateYear:
    year = last_year(dataset.sizes["time"])
    series = {
        name: values_of(dataset, name)[year]
        for name in (
            "external_air_temperature",
            "external_relative_humidity",
            "internal_air_temperature",
            "internal_relative_humidity",
        )
    }
    outdoors = series["external_air_temperature"]
    month = min(720, len(outdoors))
    means = np.convolve(outdoors, np.full(month, 1.0 / month), mode="valid")
    day = min(24, len(outdoors))
    days = np.convolve(outdoors, np.full(day, 1.0 / day), mode="valid")

    def room(begin: int) -> tuple[float, float]:
        span = slice(begin, begin + month)
        return (
            float(series["internal_air_temperature"][span].mean()),
            100.0 * float(series["internal_relative_humidity"][span].mean()),
        )

    return ClimateYear(
        outdoor_mean=float(outdoors.mean()),
        outdoor_least=float(days.min()),
        outdoor_humidity=100.0 * float(series["external_relative_humidity"].mean()),
        room_winter=room(int(means.argmin())),
        room_summer=room(int(means.argmax())),
    )
