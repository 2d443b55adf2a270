"""The programme of wet coats: when each may follow, when the finish, when the wall repeats its year."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from hygro.case.case import Case
from hygro.case.programme import ProgrammeRoom, ProgrammeSection
from hygro.case.run import AS_RECORDED
from hygro.case.variants import Variant
from hygro.constants import HOURS_PER_YEAR
from hygro.decide.coats_march import DAY, GrowingWall
from hygro.decide.coats_practice import TRADE_MM_PER_DAY
from hygro.decide.coats_steps import Step, is_wet, steps_of
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

SETTLED_DAYS = 30
"""Days in a row that the wall must stay near its repeating year before it counts as back."""

AS_USED = "as used"
"""Name of the room where the programme names none."""

Told = Callable[[str], None]


@dataclass(frozen=True)
class StepRow:
    """One step of a programme as it went.

    Parameters
    ----------
    step : Step
        What was put on.
    day : int
        Days since the start.
    date : str
        Month and day, such as "10-01".
    ready_day : int or None
        Day on which the next could follow; None where the coat was not dry within the longest wait.
    to_room, into_wall : float
        Water that left to the room in that time, and that went into what lies beneath [kg/m2].
    """

    step: Step
    day: int
    date: str
    ready_day: int | None
    to_room: float = 0.0
    into_wall: float = 0.0

    @property
    def days(self) -> int | None:
        """Days until the next could follow."""
        return None if self.ready_day is None else self.ready_day - self.day

    @property
    def trade_days(self) -> float:
        """Days by the rule of the trade, 0 for what is set dry."""
        return 1000.0 * self.step.thickness / TRADE_MM_PER_DAY if self.step.kind == "coat" else 0.0


@dataclass(frozen=True)
class Programme:
    """One programme: a build-up on a wall, begun on a day, dried by the air of a room. D days, L layers.

    Parameters
    ----------
    variant : Variant
        The finished wall.
    start, room : str
        As the case calls them.
    rows : tuple of StepRow
        What was put on, up to where the programme ended.
    finish_day : int or None
        Day from which the coats are dry enough for the finish.
    settled_day : int or None
        Day from which the wall's water is that of its repeating year.
    note : str
        Why a day is missing; empty where none is.
    dates : tuple of str
        Month and day of each day, shape (D + 1,).
    layers : tuple of str
        Old wall as one, then each layer that was added.
    water : array, shape (D + 1, L)
        [kg/m2]; 0 before a layer is there.
    repeating : array, shape (D + 1,)
        Water of the finished wall in its repeating year on those days [kg/m2]; empty where it is not known.
    balance : float
        Water gained less what was brought and what crossed the faces [kg/m2]: the error of the balance.
    """

    variant: Variant
    start: str
    room: str
    rows: tuple[StepRow, ...]
    finish_day: int | None
    settled_day: int | None
    note: str
    dates: tuple[str, ...]
    layers: tuple[str, ...]
    water: FloatArray
    repeating: FloatArray
    balance: float

    @property
    def fresh_water(self) -> float:
        """Water that the coats brought [kg/m2]."""
        return sum(row.step.fresh_water * row.step.thickness for row in self.rows)

    @property
    def excess_at_finish(self) -> float | None:
        """Water above that of the repeating year on the day of the finish [kg/m2]; None where not known."""
        if self.finish_day is None or not len(self.repeating):
            return None
        return float(self.water[self.finish_day].sum() - self.repeating[self.finish_day])

    @property
    def trade_days(self) -> float:
        """Days by the rule of the trade, for all coats together."""
        return sum(row.trade_days for row in self.rows)


def coat_programmes(
    case: Case, variants: Sequence[Variant] | None = None, told: Told | None = None
) -> list[Programme]:
    """Work out all programmes of a case.

    Parameters
    ----------
    case : Case
        With a [programme].
    variants : sequence of Variant, optional
        Finished walls; all with wet coats if not given.
    told : callable, optional
        Called with a line for each programme begun.

    Returns
    -------
    list of Programme
        Wall by wall, start by start, room by room.

    Raises
    ------
    CaseError
        There is no programme, no wall with wet coats, or a coat cannot be made as asked for.
    SolverError
        A march could not go on.
    """
    programme = _programme(case)
    chosen = [variant for variant in variants or case.variants() if is_wet(case, variant)]
    if not chosen:
        raise CaseError("no wall that was asked for has wet coats", where=str(case.path))
    found = []
    for variant in chosen:
        site = _Site(case, variant)
        for start in programme.starts:
            for room in programme.room or (None,):
                if told is not None:
                    told(f"{variant.slug}, from {start}, room {AS_USED if room is None else room.name}")
                found.append(_Work(site, start, room).done())
    return found


def _programme(case: Case) -> ProgrammeSection:
    if case.spec.programme is None:
        raise CaseError(
            "the case has no table [programme]", where=str(case.path), hint='such as starts = ["10-01"]'
        )
    return case.spec.programme


class _Site:
    """What all programmes of one finished wall share: climate, steps, repeating years."""

    def __init__(self, case: Case, variant: Variant) -> None:
        run = case.spec.run.model_copy(update={"start_month": AS_RECORDED})
        self.case = replace(case, spec=case.spec.model_copy(update={"run": run}))
        self.variant = variant
        self.programme = _programme(case)
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
                    model, layers=(*model.layers, _layer(step, model.layers[-1].initial_temperature))
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


def _layer(step: Step, temperature: float) -> Layer:
    assert step.table is not None
    return Layer(step.name, step.table, step.thickness, temperature, step.suction)


@dataclass
class _Work:
    """One programme while it is worked through."""

    site: _Site
    start: str
    room: ProgrammeRoom | None
    rows: list[StepRow] = field(default_factory=list)
    history: list[FloatArray] = field(default_factory=list)
    brought: float = 0.0

    def __post_init__(self) -> None:
        site = self.site
        hour = site.first_hour(self.start)
        state = None
        if site.programme.wall_starts == "repeating":
            temperature, log_suction = site.bare_year
            state = (temperature[hour // DAY], log_suction[hour // DAY])
        model = replace(site.bare, internal=site.internal(self.room))
        self.wall = GrowingWall(model, hour, site.scale, site.settings, state)
        self.old = len(model.layers)
        self.history.append(self.wall.water())

    def done(self) -> Programme:
        """Work through the steps, and on until the wall is back to its year."""
        held = float(self.wall.water().sum())
        note, finish, settled = "", None, None
        for step in self.site.steps:
            note = self._finish_waits() if step.kind == "film" else ""
            note = note or self._apply(step)
            if note:
                break
        note = note or self._finish_waits()
        if not note:
            finish = self._finish_day()
            settled, note = self._settles()
        gained = float(self.wall.water().sum()) - held
        balance = gained - self.brought + self.wall.to_room + self.wall.to_outside
        return self._told(finish, settled, note, balance)

    def _day(self) -> None:
        self.wall.day()
        self.history.append(self.wall.water())

    def _apply(self, step: Step) -> str:
        """Put a step on and wait until the next may follow; say so where that takes too long."""
        day, date = self.wall.days, self.site.date(self.wall.hour)
        if step.film is not None:
            self.wall.cover(step.film)
            self.rows.append(StepRow(step, day, date, day))
            return ""
        beneath, evaporated = float(self.wall.water().sum()), self.wall.to_room
        outside = self.wall.to_outside
        self.wall.put_up(_layer(step, self.wall.room_temperature()))
        self.history[-1] = self.wall.water()
        self.brought += float(self.history[-1][-1])
        while step.kind == "coat" and not self._dry(step, day):
            if self.wall.days - day >= self.site.programme.most_days:
                break
            self._day()
        waited = step.kind != "coat" or self._dry(step, day)
        self.rows.append(
            StepRow(
                step,
                day,
                date,
                self.wall.days if waited else None,
                self.wall.to_room - evaporated,
                float(self.wall.water()[:-1].sum()) - beneath + self.wall.to_outside - outside,
            )
        )
        return "" if waited else f"{step.name} is not dry within {self.site.programme.most_days} days"

    def _dry(self, step: Step, day: int) -> bool:
        mean = float(self.wall.water()[-1]) / step.thickness
        return self.wall.days - day >= step.hardens_days and mean <= step.dry_water

    def _finish_waits(self) -> str:
        """Wait until a film may go on what is there; say so where that takes too long."""
        since = self.wall.days
        while late := self._too_wet():
            if self.wall.days - since >= self.site.programme.most_days:
                return f"{late} is not dry enough for a finish within {self.site.programme.most_days} days"
            self._day()
        return ""

    def _too_wet(self) -> str:
        """Name a coat that holds too much water for a film to go on; empty where there is none."""
        water = self.wall.water()[self.old :]
        steps = [row.step for row in self.rows if row.step.film is None]
        pairs = list(zip(steps, water, strict=True))
        if self.site.programme.finish_waits_for == "coat beneath":
            pairs = pairs[-1:]
        for step, held in pairs:
            if step.kind == "coat" and held / step.thickness > step.finish_water:
                return step.name
        return ""

    def _finish_day(self) -> int:
        """Day on which the first of the closing films went on, or could have."""
        day = self.wall.days
        for row in reversed(self.rows):
            if row.step.kind != "film":
                break
            day = row.day
        return day

    def _settles(self) -> tuple[int | None, str]:
        """March on in the room as used until the water stays near that of the repeating year."""
        try:
            year = self.site.finished_year
        except SolverError as failure:
            return None, failure.sentence()
        self.wall.move_in(self.site.bare.internal)
        share = self.site.programme.settled_percent / 100.0
        most = self.site.case.spec.run.most_years * HOURS_PER_YEAR // DAY
        near = 0
        while near <= SETTLED_DAYS:
            if self.wall.days > most:
                return None, f"the wall is not back to its repeating year within {most // 365} years"
            goal = year[self.wall.hour // DAY % (len(year) - 1)]
            near = near + 1 if abs(self.wall.water().sum() - goal) <= share * goal else 0
            if near <= SETTLED_DAYS:
                self._day()
        return self.wall.days - SETTLED_DAYS, ""

    def _told(self, finish: int | None, settled: int | None, note: str, balance: float) -> Programme:
        site, first = self.site, self.site.first_hour(self.start)
        added = [row.step.name for row in self.rows if row.step.film is None]
        water = np.zeros((len(self.history), 1 + len(added)))
        for day, held in enumerate(self.history):
            water[day, 0] = held[: self.old].sum()
            water[day, 1 : 1 + len(held) - self.old] = held[self.old :]
        hours = first + DAY * np.arange(len(water))
        repeating = np.empty(0)
        if "finished_year" in vars(site):
            repeating = site.finished_year[hours // DAY % (len(site.finished_year) - 1)]
        return Programme(
            variant=site.variant,
            start=self.start,
            room=AS_USED if self.room is None else self.room.name,
            rows=tuple(self.rows),
            finish_day=finish,
            settled_day=settled,
            note=note,
            dates=tuple(site.date(int(hour)) for hour in hours),
            layers=("old wall", *added),
            water=water,
            repeating=repeating,
            balance=balance,
        )
