"""The wall on which a programme of wet coats is carried out: its climate, its steps, its repeating years."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

import numpy as np

from hygro.case.case import Case
from hygro.case.programme import ProgrammeRoom, ProgrammeSection
from hygro.case.run import AS_RECORDED
from hygro.case.variants import Variant
from hygro.constants import HOURS_PER_YEAR
from hygro.decide.coats_march import DAY
from hygro.decide.coats_steps import Step, steps_of
from hygro.errors import CaseError, SolverError
from hygro.grid.cells import build_grid
from hygro.model.build import build_wall
from hygro.model.climates import weather_of
from hygro.model.sides import sides_of
from hygro.model.wall import Boundary, Film, Layer, WallModel
from hygro.physics.typing import FloatArray
from hygro.solve.balance import water_at
from hygro.solve.repeating import march_repeating
from hygro.solve.settings import ACCURACIES, Settings, Span


def programme_of(case: Case) -> ProgrammeSection:
    """Return the programme of a case.

    Raises
    ------
    CaseError
        There is none.
    """
    if case.spec.programme is None:
        raise CaseError(
            "the case has no table [programme]",
            where=str(case.path),
            hint='add one that says when the work starts, such as starts = ["10-01"]',
        )
    return case.spec.programme


class WorkSite:
    """What all programmes of one finished wall share: climate, steps, repeating years.

    Parameters
    ----------
    case : Case
        With a [programme].
    variant : Variant
        The finished wall.

    Raises
    ------
    CaseError
        There is no programme, a coat cannot be made as asked for, or the weather is not of whole years.
    """

    def __init__(self, case: Case, variant: Variant) -> None:
        run = case.spec.run.model_copy(update={"start_month": AS_RECORDED})
        self.case = replace(case, spec=case.spec.model_copy(update={"run": run}))
        self.variant = variant
        self.programme = programme_of(case)
        self.steps = steps_of(case, variant)
        self.settings = ACCURACIES[run.accuracy]
        self.scale = case.spec.grid.scale
        old = replace(variant, layers=tuple(item for item in variant.layers if item.part == "wall"))
        self.bare = replace(build_wall(self.case, old), probes=())
        begins = weather_of(case)["time"].values.astype("datetime64[h]") - np.timedelta64(1, "h")
        self.stamps: tuple[str, ...] = tuple(str(day)[:10] for day in begins.astype("datetime64[D]"))
        if len(self.stamps) % HOURS_PER_YEAR:
            raise CaseError(
                "a programme needs whole years of weather", where=str(case.path), found=f"{len(begins)} h"
            )

    def first_hour(self, start: str) -> int:
        """Hour of the record at which a start falls."""
        for hour in range(0, len(self.stamps), DAY):
            if self.stamps[hour].endswith(start):
                return hour
        raise CaseError(
            "the weather has no such day", where=self.case.source.where(("programme", "starts")), found=start
        )

    def date(self, hour: int) -> str:
        """Month and day of an hour."""
        return self.stamps[hour % len(self.stamps)][5:]

    def internal(self, room: ProgrammeRoom | None) -> Boundary:
        """Climate of a room of the programme, or of the room as used."""
        if room is None:
            return self.bare.internal
        spec = self.case.spec.model_copy(update={"room": room})
        return sides_of(replace(self.case, spec=spec), self.variant.elevation).internal

    @cached_property
    def finished(self) -> WallModel:
        """The finished wall, each coat a layer of its own."""
        model = self.bare
        for step in self.steps:
            if step.film is not None:
                model = replace(model, films=(*model.films, _placed(step.film, model)))
            else:
                model = replace(
                    model, layers=(*model.layers, layer_of(step, model.layers[-1].initial_temperature))
                )
        return model

    @cached_property
    def bare_year(self) -> tuple[FloatArray, FloatArray]:
        """State of the old wall on each day of its repeating year."""
        return self._year(self.bare, self.settings, "the old wall")

    @cached_property
    def finished_year(self) -> FloatArray:
        """Water of the finished wall on each day of its repeating year [kg/m2]."""
        _, log_suction = self._year(self.finished, self.settings, "the finished wall")
        grid = build_grid(self.finished, self.scale)
        total: FloatArray = (water_at(grid, log_suction) * grid.size).sum(axis=1)
        return total

    def _year(self, model: WallModel, settings: Settings, what: str) -> tuple[FloatArray, FloatArray]:
        record, run = len(self.stamps), self.case.spec.run
        years = max(run.most_years, 2 * record // HOURS_PER_YEAR)
        edges = tuple(range(0, years * HOURS_PER_YEAR + 1, HOURS_PER_YEAR))
        span = Span(edges, record, run.tolerance_percent_RH / 100.0)
        daily = replace(settings, field_every=DAY)
        nowhere = np.empty(0, dtype=np.int64)
        grid = build_grid(model, self.scale)
        solution = march_repeating(model, grid, span, daily, nowhere, scale=self.scale)
        if solution.failure:
            raise SolverError("the march could not go on", where=what, found=solution.failure)
        if solution.approach is None or not solution.approach.found:
            raise SolverError(
                f"{what} has no repeating year",
                where=self.variant.slug,
                found=solution.approach.reason if solution.approach else None,
                hint='with [programme] wall_starts = "initial" the old wall needs none',
            )
        last = slice(-(record // DAY) - 1, None)
        return solution.field_temperature[last], solution.field_log_suction[last]


def _placed(film: Film, model: WallModel) -> Film:
    return replace(film, position=len(model.layers))


def layer_of(step: Step, temperature: float) -> Layer:
    """Return a coat or board as a layer of the model that begins at a temperature [K]."""
    assert step.table is not None
    return Layer(step.name, step.table, step.thickness, temperature, step.suction)
