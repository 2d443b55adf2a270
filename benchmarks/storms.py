"""Random walls in a random year of storms and frost: how many fail, how well balances close."""

import time
from dataclasses import dataclass, field

import numpy as np
from witness_walls import random_wall

from benchmarks.tables import table
from benchmarks.walls import YEAR
from hygro.grid.cells import build_grid
from hygro.materials.tables import LOG_SUCTION_HIGH
from hygro.solve.march import march
from hygro.solve.settings import ACCURACIES, Span

WALLS = 2000
BALANCE = 1e-8


@dataclass
class Tally:
    """What many walls came to."""

    walls: int = 0
    failed: list = field(default_factory=list)
    left_range: list = field(default_factory=list)
    cut: int = 0
    unbalanced: list = field(default_factory=list)
    worst_water: float = 0.0
    worst_heat: float = 0.0
    seconds: float = 0.0

    def add(self, seed):
        """March one wall."""
        model = random_wall(seed, YEAR)
        solution = march(model, build_grid(model), Span((0, YEAR), YEAR), ACCURACIES["standard"])
        self.walls += 1
        self.seconds += solution.wall_seconds
        if solution.failure:
            self.failed.append(seed)
            return
        water, heat = (float(np.abs(errors).max()) for errors in solution.balance_errors())
        self.worst_water, self.worst_heat = max(self.worst_water, water), max(self.worst_heat, heat)
        if max(water, heat) > BALANCE:
            self.unbalanced.append(seed)
        if solution.log_suction.max() > LOG_SUCTION_HIGH or not np.isfinite(solution.temperature).all():
            self.left_range.append(seed)
        self.cut += solution.rejected > 0


def storms(first=0, last=WALLS):
    """March the walls of a range of seeds and tabulate what came of them."""
    tally = Tally()
    began = time.perf_counter()
    for seed in range(first, last):
        tally.add(seed)
    rows = [
        ("walls, a year each", tally.walls),
        ("failed", f"{len(tally.failed)} {tally.failed or ''}"),
        ("left the range of their materials", f"{len(tally.left_range)} {tally.left_range or ''}"),
        (
            "balance of water or heat off by more than 1e-8",
            f"{len(tally.unbalanced)} {tally.unbalanced or ''}",
        ),
        ("worst balance of water, of heat", f"{tally.worst_water:.1e}, {tally.worst_heat:.1e}"),
        ("walls that needed a step cut", tally.cut),
        ("solver, s a wall", f"{tally.seconds / max(tally.walls, 1):.3f}"),
        ("in all, min", f"{(time.perf_counter() - began) / 60.0:.1f}"),
    ]
    return table(("random walls", "found"), rows)
