"""A wall that grows: marched day by day, new layers put on it without a loss of water or heat."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from hygro.errors import SolverError
from hygro.grid.cells import Grid, build_grid
from hygro.model.sides import rolled
from hygro.model.wall import Boundary, Film, Layer, WallModel
from hygro.physics.typing import FloatArray
from hygro.solve import layout
from hygro.solve.balance import contents, water_at
from hygro.solve.march import Run, initial_state
from hygro.solve.settings import Settings, Span

DAY = 24
"""Hours of a day: the work is looked at once a day."""


class GrowingWall:
    """A wall with the layers present so far, in the weather from one day of the record on.

    Parameters
    ----------
    model : WallModel
        The wall at the begin; its boundaries run over the whole record, from its first hour.
    hour : int
        Hour of the record at which the work begins.
    scale : float
        Factor on all cell sizes.
    settings : Settings
        How accurately.
    state : (array, array), optional
        Temperature [K] and log10 of suction [Pa] of the nodes; that of the model if not given.
    """

    def __init__(
        self,
        model: WallModel,
        hour: int,
        scale: float,
        settings: Settings,
        state: tuple[FloatArray, FloatArray] | None = None,
    ) -> None:
        self.model = model
        self.scale = scale
        # Each day may be the last before the wall changes: its content must be that of its state.
        self.settings = replace(settings, field_every=DAY, balance_every=DAY)
        self.hour = hour
        self.days = 0
        self.to_room = 0.0
        """Water that has left through the internal surface since the begin [kg/m2]."""
        self.to_outside = 0.0
        """Water that has left through the external surface, rain counted against it [kg/m2]."""
        self.grid: Grid = build_grid(model, scale)
        self._state = initial_state(model, self.grid) if state is None else state
        self._run: Run | None = None

    @property
    def state(self) -> tuple[FloatArray, FloatArray]:
        """Temperature [K] and log10 of suction [Pa] of the nodes."""
        return self._state if self._run is None else (self._run.temperature, self._run.log_suction)

    def water(self) -> FloatArray:
        """Water of the layers [kg/m2], shape (layers,)."""
        held = water_at(self.grid, self.state[1]) * self.grid.size
        return np.bincount(self.grid.layer, held).astype(np.float64)

    def heat(self) -> float:
        """Heat of the whole wall [J/m2 above 0 degC]."""
        temperature, log_suction = self.state
        held = water_at(self.grid, log_suction) * self.grid.size
        return float(contents(self.grid, temperature, held)[1].sum())

    def room_temperature(self) -> float:
        """Air temperature of the room at the present hour [K]."""
        series = self.model.internal.air_temperature
        return float(series[self.hour % len(series)])

    def put_up(self, layer: Layer) -> None:
        """Add a layer on the inside; what is there stays as it is, and the surface becomes the new layer's.

        Parameters
        ----------
        layer : Layer
            With its temperature and suction at this hour.
        """
        model = replace(self.model, layers=(*self.model.layers, layer))
        grid = build_grid(model, self.scale)
        old, kept = self.state, self.grid.nodes - 1  # the surface node stores nothing and goes
        assert np.array_equal(grid.size[:kept], self.grid.size[:kept])
        fresh = initial_state(model, grid)
        self._set(
            model, grid, tuple(np.concatenate([a[:kept], b[kept:]]) for a, b in zip(old, fresh, strict=True))
        )

    def cover(self, film: Film) -> None:
        """Add a film on the inside."""
        placed = replace(film, position=len(self.model.layers))
        model = replace(self.model, films=(*self.model.films, placed))
        self._set(model, build_grid(model, self.scale), self.state)

    def move_in(self, internal: Boundary) -> None:
        """Change the climate of the room.

        Parameters
        ----------
        internal : Boundary
            Over the whole record, from its first hour.
        """
        self._set(replace(self.model, internal=internal), self.grid, self.state)

    def day(self) -> None:
        """March a day.

        Raises
        ------
        SolverError
            The march could not go on.
        """
        run = self._run or self._start()
        run.until(run.done + DAY)
        if run.failure:
            raise SolverError("the march could not go on", where=f"day {self.days}", found=run.failure)
        flows = run.flows[-1]
        run.flows.clear()  # kept as sums; a programme may take years
        run.histories.clear()
        run.snapshots.clear()
        self.to_room -= float(flows[:, layout.F_WATER_INT].sum())
        self.to_outside -= float(flows[:, layout.F_WATER_EXT].sum())
        self.days += 1
        self.hour += DAY

    def _set(self, model: WallModel, grid: Grid, state: tuple[FloatArray, ...]) -> None:
        self.model, self.grid, self._run = model, grid, None
        self._state = (state[0].copy(), state[1].copy())

    def _start(self) -> Run:
        """Begin a march at the present hour."""
        record = len(self.model.external.temperature)
        first = self.hour % record
        here = replace(
            self.model,
            external=rolled(self.model.external, first),
            internal=rolled(self.model.internal, first),
        )
        nowhere = np.empty(0, dtype=np.int64)
        span = Span((0, record), record)
        self._run = Run.start(here, self.grid, span, self.settings, nowhere, self._state)
        return self._run
