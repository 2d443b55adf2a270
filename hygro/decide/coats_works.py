"""A programme of wet coats carried out day by day, until the wall repeats its year."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from hygro.case.programme import ProgrammeRoom
from hygro.constants import HOURS_PER_YEAR
from hygro.decide.coats_march import DAY, GrowingWall
from hygro.decide.coats_programme import AS_USED, Programme, StepRow
from hygro.decide.coats_site import WorkSite, layer_of
from hygro.decide.coats_steps import Step
from hygro.errors import SolverError
from hygro.physics.typing import FloatArray

SETTLED_DAYS = 30
"""Days in a row that the wall must stay near its repeating year before it counts as back."""


@dataclass
class Works:
    """One programme while it is worked through.

    Parameters
    ----------
    site : WorkSite
        The wall.
    start : str
        Month and day of the begin.
    room : ProgrammeRoom or None
        The room meanwhile; None for the room as used.
    rows : list of StepRow
        Steps so far.
    history : list of array, shape (layers so far,)
        Water of the layers on each day so far [kg/m2].
    brought : float
        Water that coats brought so far [kg/m2].
    """

    site: WorkSite
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
        self.wall.put_up(layer_of(step, self.wall.room_temperature()))
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
