"""All scores of a dataset."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from difflib import get_close_matches
from typing import TYPE_CHECKING, Final

from hygro.errors import ResultError
from hygro.scores.access import join_notes
from hygro.scores.heat import score_heat
from hygro.scores.interface import score_interfaces, score_water
from hygro.scores.limits import Bound, limits_of
from hygro.scores.mould_scores import score_mould
from hygro.scores.states import Score
from hygro.scores.timber import score_timber_layers, score_timber_probes

if TYPE_CHECKING:
    import xarray as xr

Scorer = Callable[["xr.Dataset", Mapping[str, Bound]], list[Score]]

GROUPS: Final[dict[str, Scorer]] = {
    "mould": score_mould,
    "interface": score_interfaces,
    "water": lambda dataset, limits: score_water(dataset),
    "timber": score_timber_probes,
    "timber layers": score_timber_layers,
    "heat": lambda dataset, limits: score_heat(dataset),
}
"""Scorers by group; "mould", "interface" and "timber" need no more than histories of places."""


def score(
    dataset: xr.Dataset,
    limits: Mapping[str, float] | None = None,
    *,
    groups: Collection[str] | None = None,
) -> list[Score]:
    """Score a dataset against limits.

    Parameters
    ----------
    dataset : xarray.Dataset
        From `hygro.simulate`, `hygro.results.load`, or logged data in the same shape.
    limits : mapping, optional
        Limits and margins by key that stand above those of the dataset's case (see `hygro.scores.limits`).
    groups : collection of str, optional
        Which of `GROUPS` to score; all by default. Logged data without layers and fluxes have
        ("mould", "interface", "timber").

    Returns
    -------
    list of Score
        In the order of the groups, places from outside to inside.

    Raises
    ------
    ResultError
        Where a variable that a group needs is missing or not finite, the record is not hourly, a class of
        mould is unknown, or a limit or group does not exist.
    """
    wanted = list(GROUPS) if groups is None else list(groups)
    for name in wanted:
        if name not in GROUPS:
            near = get_close_matches(name, GROUPS, n=1, cutoff=0.5)
            raise ResultError(
                "there is no such group of scores",
                found=name,
                expected=f"one of {', '.join(GROUPS)}",
                hint=f"did you mean {near[0]!r}?" if near else None,
            )
    bounds = limits_of(dataset, limits)
    scores = [made for name, scorer in GROUPS.items() if name in wanted for made in scorer(dataset, bounds)]
    status = str(dataset.attrs.get("status", "complete"))
    if status == "complete":
        return scores
    return [replace(made, note=join_notes(made.note, status)) for made in scores]
