"""What a programme of wet coats found: each step as it went, and the water of the layers day by day."""

from __future__ import annotations

from dataclasses import dataclass

from hygro.case.variants import Variant
from hygro.decide.coats_practice import TRADE_MM_PER_DAY
from hygro.decide.coats_steps import Step
from hygro.physics.typing import FloatArray

AS_USED = "as used"
"""Name of the room where the programme names none."""


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
