"""A wall and the air of its room, each from the other, until both agree.

Whole marches of the wall alternate with the moisture balance of the room. The wall says hour by hour what
it takes from the room in the last pass through the weather; the room answers with its vapour pressure. To
hand that over as a plain source would let the two overshoot where a bare plaster takes up more than
ventilation brings. So the balance of the room holds stores that answer as the surface of the wall does,
fitted to the first marches, and a march corrects only what these get wrong. When both agree, the stores have
cancelled out.

White and Sangiovanni-Vincentelli 1987, Relaxation Techniques for the Simulation of VLSI Circuits (waveform
relaxation).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from hygro.case import Case
from hygro.climate.room_model import BalancedRoom, WallUptake
from hygro.constants import SECONDS_PER_HOUR
from hygro.errors import SolverError
from hygro.model.climates import balanced_room_of, weather_of
from hygro.model.wall import WallModel
from hygro.physics.moist_air import saturation_pressure
from hygro.physics.room_balance import Buffer
from hygro.physics.typing import FloatArray
from hygro.solve import layout
from hygro.solve.settings import Solution

TOLERANCE: Final = 1e-3
"""Change of the room's relative humidity in any hour from pass to pass below which both agree [1]: 0.1 %RH, a
twentieth of the band in which a wall is marginal."""

MOST_PASSES: Final = 20
"""Marches after which room and wall are given up. Four to six were enough, a dozen where the wall drips."""

_HOURS_OF_STORES: Final = (0.3, 1.0, 3.0, 10.0, 30.0, 100.0, 300.0, 1000.0)
"""Time constants of stores [h]: from within the step to a season."""

_LEAST_SHARE = 1e-4
"""Share of all conductances below which a store is left out."""

_WEEK, _LEAST_STEP = 168, 0.1
"""Hours over which a slope is taken, and change of vapour pressure that is large enough for one [Pa]."""

_FITTED_PASSES = 2
"""Passes after which stores are fitted: from the first march, and better from what the second changed."""


@dataclass(frozen=True)
class Coupling:
    """How room and wall came to agree.

    Attributes
    ----------
    passes : int
        Marches of the wall.
    change : float
        Change of the room's relative humidity that the last of them would still bring, largest of all hours
        [1].
    wall_uptake : float
        Moisture that the wall takes from the room in the last pass through the weather, less what it gives
        back [kg].
    """

    passes: int
    change: float
    wall_uptake: float

    def sentence(self) -> str:
        """Return it in plain words."""
        return (
            f"room and wall agree after {self.passes} passes: one more would change the room by at most "
            f"{100.0 * self.change:.2g} %RH"
        )


def is_coupled(case: Case) -> bool:
    """Tell whether the wall of a case acts on the climate of its room."""
    room = case.spec.room
    return room is not None and room.balance is not None and room.balance.coupled


def march_coupled(
    case: Case, model: WallModel, march: Callable[[WallModel], Solution]
) -> tuple[WallModel, Solution, BalancedRoom, Coupling]:
    """March a wall together with its room.

    Parameters
    ----------
    case : Case
        With a coupled [room.balance].
    model : WallModel
        The wall, with the room as it would be without it.
    march : callable
        Marches a wall from its start; called once for each pass.

    Returns
    -------
    model : WallModel
        The wall with the room that it was marched with last.
    solution : Solution
        That march; partial where it failed.
    room : BalancedRoom
        That room, in the hours of the weather. It is that of the last pass through the weather, and stands
        for all of them: while a wall still dries in the first years, so does not its room.
    coupling : Coupling
        Passes and what is left.

    Raises
    ------
    SolverError
        Room and wall do not come to agree.
    """
    assert case.spec.room is not None
    assert case.spec.room.balance is not None
    area = case.spec.room.balance.wall_area_m2 or 0.0
    first = first_hour(case, model)
    room, guess = _room(case, None), None
    for number in range(1, MOST_PASSES + 1):
        solution = march(model)
        if solution.failure:
            return model, solution, room, Coupling(number, np.inf, 0.0)
        uptake = np.roll(_uptake(solution, len(room.air_temperature)) * area, first)
        if guess is None:
            most = area * case.spec.wall.vapour_coefficient_internal_kg_m2sPa
            guess = _Guess(room, uptake, fitted_stores(room.air.vapour_pressure, uptake, room), most)
        else:
            guess = guess.after(room, uptake, refit=number <= _FITTED_PASSES)
        after = _room(case, guess.wall())
        change = float(np.abs(after.relative_humidity - room.relative_humidity).max())
        if change <= TOLERANCE:
            kept = float(uptake.sum()) * SECONDS_PER_HOUR
            return model, solution, room, Coupling(number, change, kept)
        room = after
        pressure = np.roll(room.air.vapour_pressure, -first)
        model = replace(model, internal=replace(model.internal, vapour_pressure=pressure))
    raise SolverError(
        "room and wall do not come to agree",
        found=f"{100.0 * change:.2g} %RH of change after {MOST_PASSES} passes",
        expected=f"at most {100.0 * TOLERANCE:g} %RH",
        hint='give the run more years, or years = "until steady"',
    )


def first_hour(case: Case, model: WallModel) -> int:
    """Return the hour of the weather with which a model begins."""
    begins = weather_of(case)["time"].to_numpy().astype("datetime64[h]") - np.timedelta64(1, "h")
    return int(np.argmax(begins == model.start.astype("datetime64[h]")))


def room_settings(room: BalancedRoom, coupling: Coupling | None) -> dict[str, Any]:
    """Return what a result tells about a room that was worked out, fit for JSON."""
    figures: dict[str, Any] = {key: round(value, 4) for key, value in room.summary().items()}
    if coupling is not None:
        figures["passes"] = coupling.passes
        figures["wall_uptake_kg_per_pass"] = round(coupling.wall_uptake, 4)
    return figures


def fitted_stores(pressure: FloatArray, uptake: FloatArray, room: BalancedRoom) -> tuple[Buffer, ...]:
    """Find stores that take up moisture as a wall does.

    Parameters
    ----------
    pressure : array, shape (hours,)
        Vapour pressure of a room, or the difference between two [Pa].
    uptake : array, shape (hours,)
        What a wall takes from it, or the difference [kg/s].
    room : BalancedRoom
        Whose temperature it is.

    Returns
    -------
    tuple of Buffer
        Least squares over conductances that are not negative, for a range of time constants. Any wall that
        answers linearly by diffusion and storage is such a sum of stores, and a leak outdoors.
    """
    from scipy.optimize import nnls

    saturation = float(saturation_pressure(room.air_temperature).mean())
    units = [Buffer(1.0, hours * SECONDS_PER_HOUR * saturation) for hours in _HOURS_OF_STORES]
    answers = np.stack([answer((unit,), pressure, room) for unit in units], axis=1)
    spread = answers.std(axis=0)
    conductance = nnls((answers - answers.mean(axis=0)) / spread, uptake - uptake.mean())[0] / spread
    least = _LEAST_SHARE * conductance.sum()
    return tuple(
        Buffer(float(g), float(g) * unit.capacity)
        for g, unit in zip(conductance, units, strict=True)
        if g > least
    )


def answer(stores: Sequence[Buffer], pressure: FloatArray, room: BalancedRoom) -> FloatArray:
    """Return what stores take up from hourly pressures that repeat.

    Parameters
    ----------
    stores : sequence of Buffer
        Any.
    pressure : array, shape (hours,)
        [Pa].
    room : BalancedRoom
        Whose mean temperature it is.

    Returns
    -------
    array, shape (hours,)
        [kg/s].
    """
    from scipy.signal import lfilter

    saturation = float(saturation_pressure(room.air_temperature).mean())
    humidity = pressure / saturation
    taken = np.zeros_like(pressure)
    for store in stores:
        kept = float(np.exp(-store.conductance * saturation * SECONDS_PER_HOUR / store.capacity))
        twice = np.concatenate([humidity, humidity])
        state = lfilter([1.0 - kept], [1.0, -kept], twice, zi=[kept * humidity.mean()])[0]
        taken += np.diff(state[len(humidity) - 1 :]) * store.capacity / SECONDS_PER_HOUR
    return taken


class _Guess:
    """What is known after a march about how the wall answers to the room."""

    def __init__(
        self,
        room: BalancedRoom,
        uptake: FloatArray,
        stores: tuple[Buffer, ...],
        most: float,
        slope: FloatArray | None = None,
        answered: FloatArray | None = None,
    ) -> None:
        self.room, self.uptake, self.stores, self.most = room, uptake, stores, most
        self.pressure = room.air.vapour_pressure
        self.rest = uptake - (answer(stores, self.pressure, room) if answered is None else answered)
        # At first as steep as can be: a wet surface, which overshoots nowhere.
        self.slope = np.full_like(uptake, most) if slope is None else slope

    def wall(self) -> WallUptake:
        return WallUptake(self.stores, self.rest, self.slope, self.pressure)

    def after(self, room: BalancedRoom, uptake: FloatArray, *, refit: bool) -> _Guess:
        """Learn from another march.

        What the stores leave is steep where the surface of the wall is wet and flat where it is dry; week by
        week, it is the slope between the two marches.
        """
        pressure = room.air.vapour_pressure
        stores = self.stores
        if refit:  # to the change, which the climate outdoors has no part in
            stores = fitted_stores(pressure - self.pressure, uptake - self.uptake, room)
        before = self.uptake - answer(stores, self.pressure, self.room)
        rise = uptake - answer(stores, pressure, room) - before
        # What the stores took in the balance itself, within each hour as well: so they cancel in the end.
        answered = room.air.buffered[:, -len(stores) :].sum(axis=1) if stores and not refit else None
        step = pressure - self.pressure
        slope = self.slope.copy()
        for begin in range(0, len(step), _WEEK):
            week = slice(begin, begin + _WEEK)
            length = float(step[week] @ step[week])
            if length > _WEEK * _LEAST_STEP**2:
                slope[week] = np.clip(float(rise[week] @ step[week]) / length, 0.0, self.most)
        return _Guess(room, uptake, stores, self.most, slope, answered)


def _room(case: Case, wall: WallUptake | None) -> BalancedRoom:
    room = balanced_room_of(case, wall)
    assert room is not None
    return room


def _uptake(solution: Solution, hours: int) -> FloatArray:
    """Vapour from the room into the wall in the last pass through the weather [kg/(m2 s)]."""
    flows = solution.flows[-hours:] / SECONDS_PER_HOUR
    return np.asarray(flows[:, layout.F_WATER_INT] - flows[:, layout.F_RAIN_INT])
