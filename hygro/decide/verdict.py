"""The verdict on one variant: its state, what governs, heat and water, from a result dataset alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hygro.case.variants import BARE_WALL, Variant
from hygro.constants import HOURS_PER_YEAR
from hygro.decide.governing import TREND, governing_margin, governing_score, worst_state
from hygro.scores import score
from hygro.scores.access import labels_of, last_year, table_of, values_of
from hygro.scores.interface import trend
from hygro.scores.states import Score

if TYPE_CHECKING:
    import xarray as xr

UNKNOWN: Final = "unknown"
"""State of a variant that could not be computed."""

_NEARBY = 1e-9  # m; depths are sums of thicknesses and carry their rounding


@dataclass(frozen=True)
class Verdict:
    """What an assessment says of one variant.

    Yearly values are those of the last whole year that was computed, or of the last one where none is whole.
    They are None where the variant failed.

    Parameters
    ----------
    slug, build_up, thickness_mm, elevation, elevation_name
        As in `hygro.case.Variant`.
    status : {"complete", "failed"}
        Whether the variant was computed to its end.
    message : str
        Why it failed; empty otherwise.
    state : str
        Worst state of all scores: "exceeded", "marginal", "within", "for information" where nothing is
        judged, "unknown" where the variant failed.
    governing : Score or None
        The score that decides the state; of several, the one nearest to its limit or furthest beyond.
    margin : float or None
        (limit - value) / limit of the governing score [1]; where the wall's gain of water governs, which has
        no limit to exceed, that of the next score in line.
    u_value : float or None
        Steady state [W/(m2 K)].
    year_heat_loss : float or None
        [kWh/m2].
    heat_saved, heat_saved_percent : float or None
        Against the bare wall of the same elevation [kWh/(m2 a)], [%]; None where that was not computed.
    interface : str
        Label of the most critical interface: behind the insulation where there is some.
    interface_humidity_mean, interface_humidity_most : float or None
        Its mean and largest hourly relative humidity of the last year [%].
    rain_on_wall, rain_uptake : float or None
        Rain that hits the wall, and what it takes up [kg/(m2 a)].
    water_trend : str
        "accumulates", "steady", "dries", or empty where no year lies between two profiles.
    scores : tuple of Score
        All of them.
    years : float or None
        Simulated time [years of 8760 h].
    steady : bool
        Whether the last year repeats the one before within the tolerance asked for.
    seconds : float or None
        Time the march took.
    run_file : str
        Result file, relative to the directory of the assessment; empty where there is none.
    reused : bool
        Whether the result file was there already.
    """

    slug: str
    build_up: str
    thickness_mm: float | None
    elevation: float | None
    elevation_name: str
    status: str
    message: str
    state: str
    governing: Score | None
    margin: float | None
    u_value: float | None
    year_heat_loss: float | None
    heat_saved: float | None
    heat_saved_percent: float | None
    interface: str
    interface_humidity_mean: float | None
    interface_humidity_most: float | None
    rain_on_wall: float | None
    rain_uptake: float | None
    water_trend: str
    scores: tuple[Score, ...]
    years: float | None
    steady: bool
    seconds: float | None
    run_file: str
    reused: bool

    def to_dict(self) -> dict[str, Any]:
        """Return the verdict as plain JSON-able values."""
        return asdict(self)


def verdict_of(dataset: xr.Dataset, variant: Variant, *, run_file: str = "", reused: bool = False) -> Verdict:
    """Judge a variant by its result.

    Parameters
    ----------
    dataset : xarray.Dataset
        Result of the variant.
    variant : Variant
        Tells which layer is the insulation under study.
    run_file : str
        Where the result lies, relative to the directory of the assessment.
    reused : bool
        Whether it lay there before.

    Returns
    -------
    Verdict
        Without what is saved against the bare wall; `with_heat_saved` fills that in.

    Raises
    ------
    ResultError
        The dataset lacks what the scores need.
    """
    scores = tuple(score(dataset))
    by_name = {made.name: made for made in scores}
    interface, mean, most = critical_interface(dataset, variant)
    year = _judged_year(dataset)
    change = by_name.get(TREND)
    return Verdict(
        slug=variant.slug,
        build_up=variant.build_up,
        thickness_mm=variant.thickness_mm,
        elevation=variant.elevation,
        elevation_name=variant.elevation_name,
        status="complete",
        message="",
        state=worst_state(scores),
        governing=governing_score(scores),
        margin=governing_margin(scores),
        u_value=by_name["u_value"].value,
        year_heat_loss=by_name["year_heat_loss"].value,
        heat_saved=None,
        heat_saved_percent=None,
        interface=interface,
        interface_humidity_mean=mean,
        interface_humidity_most=most,
        rain_on_wall=float(values_of(dataset, "year_rain_on_wall")[year]),
        rain_uptake=float(values_of(dataset, "year_rain_uptake")[year]),
        water_trend=trend(100.0, 100.0 + change.value) if change else "",
        scores=scores,
        years=dataset.sizes["time"] / HOURS_PER_YEAR,
        steady=int(dataset.attrs.get("steady_year", 0)) > 0,
        seconds=float(dataset.attrs.get("wall_seconds", 0.0)),
        run_file=run_file,
        reused=reused,
    )


def failed_verdict(variant: Variant, message: str, run_file: str = "") -> Verdict:
    """Make the verdict on a variant that could not be computed.

    Parameters
    ----------
    variant : Variant
        Which.
    message : str
        Why, in one sentence.
    run_file : str
        The partial result, where one was kept.
    """
    return Verdict(
        slug=variant.slug,
        build_up=variant.build_up,
        thickness_mm=variant.thickness_mm,
        elevation=variant.elevation,
        elevation_name=variant.elevation_name,
        status="failed",
        message=message,
        state=UNKNOWN,
        governing=None,
        margin=None,
        u_value=None,
        year_heat_loss=None,
        heat_saved=None,
        heat_saved_percent=None,
        interface="",
        interface_humidity_mean=None,
        interface_humidity_most=None,
        rain_on_wall=None,
        rain_uptake=None,
        water_trend="",
        scores=(),
        years=None,
        steady=False,
        seconds=None,
        run_file=run_file,
        reused=False,
    )


def critical_interface(dataset: xr.Dataset, variant: Variant) -> tuple[str, float | None, float | None]:
    """Find the interface that decides, with its humidity of the last year.

    Parameters
    ----------
    dataset : xarray.Dataset
        Result of the variant.
    variant : Variant
        Which layer varies.

    Returns
    -------
    label : str
        Behind the insulation under study; without one, of all interfaces from the old wall's inner face
        inwards; on a bare wall, of all. Of several the wettest. Empty where there is no interface.
    mean, most : float or None
        Mean and largest hourly relative humidity [%].
    """
    labels = labels_of(dataset, "place")
    columns = _candidates(dataset, variant)
    if not columns:
        return "", None, None
    hours = dataset.sizes["time"]
    humidity = 100.0 * table_of(dataset, "relative_humidity", "time", "place")[last_year(hours)]
    column = max(columns, key=lambda index: (humidity[:, index].max(), humidity[:, index].mean()))
    return labels[column], float(humidity[:, column].mean()), float(humidity[:, column].max())


def with_heat_saved(verdicts: Sequence[Verdict]) -> tuple[Verdict, ...]:
    """Fill in what each variant saves against the bare wall of its elevation.

    Parameters
    ----------
    verdicts : sequence of Verdict
        Of one case.

    Returns
    -------
    tuple of Verdict
        In the same order; the bare walls themselves save 0.
    """
    bare = {v.elevation: v.year_heat_loss for v in verdicts if v.build_up == BARE_WALL}
    filled = []
    for verdict in verdicts:
        before, after = bare.get(verdict.elevation), verdict.year_heat_loss
        if before is None or after is None:
            filled.append(verdict)
            continue
        share = 100.0 * (before - after) / before if before > 0.0 else None
        filled.append(replace(verdict, heat_saved=before - after, heat_saved_percent=share))
    return tuple(filled)


def _candidates(dataset: xr.Dataset, variant: Variant) -> list[int]:
    """Columns of interfaces that may decide: behind the insulation, else from the old wall inwards."""
    kinds, depths = labels_of(dataset, "place_kind"), values_of(dataset, "place_depth")
    starts = dict(zip(labels_of(dataset, "layer"), values_of(dataset, "layer_start"), strict=True))
    interfaces = [index for index, kind in enumerate(kinds) if kind == "interface"]
    varied = next((layer.name for layer in variant.layers if layer.varied), None)
    if varied in starts:
        return [index for index in interfaces if abs(depths[index] - starts[varied]) <= _NEARBY]
    added = [starts[layer.name] for layer in variant.layers if layer.part == "build-up" and layer.material]
    old_face = min(added, default=0.0)
    return [index for index in interfaces if depths[index] >= old_face - _NEARBY]


def _judged_year(dataset: xr.Dataset) -> int:
    """Index of the last whole year, or of the last one."""
    whole = np.flatnonzero(values_of(dataset, "year_hours") >= HOURS_PER_YEAR)
    return int(whole[-1]) if whole.size else dataset.sizes["year"] - 1
