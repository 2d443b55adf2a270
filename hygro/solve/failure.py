"""Say in a sentence where and why a march could not go on."""

from __future__ import annotations

from hygro.constants import ZERO_CELSIUS
from hygro.grid.cells import Grid, IntArray
from hygro.model.wall import WallModel
from hygro.physics.moist_air import relative_humidity
from hygro.physics.typing import FloatArray
from hygro.solve import layout
from hygro.solve.solves import NEVER
from hygro.solve.steps import ENDLESS


def explain(
    model: WallModel,
    grid: Grid,
    status: int,
    times: tuple[int, int],
    temperature: FloatArray,
    log_suction: FloatArray,
    control: FloatArray,
    counters: IntArray,
) -> str:
    """Say where and why the kernel returned a status other than `layout.DONE`.

    Parameters
    ----------
    model, grid : WallModel, Grid
        The wall.
    status : int
        What the kernel returned.
    times : tuple of int
        Hour of the march and hour of the climate's record.
    temperature, log_suction : array, shape (nodes,)
        State to which the march came [K], [log10 Pa].
    control, counters : array
        As the kernel left them, see `hygro.solve.layout`.
    """
    node = int(counters[layout.C_WORST_NODE])
    layer = model.layers[grid.layer[node]]
    place = f"in layer '{layer.name}' ({layer.table.material}) at {1000 * grid.depth[node]:.2f} mm"
    reason = "no step was short enough" if status == layout.STEP_TOO_SHORT else "too many steps were needed"
    humidity = relative_humidity(10.0 ** log_suction[node], temperature[node])
    hour, of_record = times
    return (
        f"hour {hour}: {reason} for the balance to close {place}, node {node} of {grid.nodes}, "
        f"last at {temperature[node] - ZERO_CELSIUS:.1f} degC and {100 * humidity:.1f} %RH, in hour "
        f"{of_record} of the weather; {_moved(float(control[layout.K_CHANGE]))}"
    )


def _moved(change: float) -> str:
    """Say what the last iteration did, from the size of its change."""
    if not change < ENDLESS:
        return "the last iteration gave no number"
    if change >= NEVER:
        return (
            "the last iteration would have left less than no water somewhere, or a temperature out of reach"
        )
    return f"the last iteration still moved it by {change:.2g} times the tolerance"
