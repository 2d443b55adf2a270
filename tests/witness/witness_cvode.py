"""The second set of equations, integrated by SUNDIALS CVODE through scikit-sundae."""

import numpy as np
from sksundae.cvode import CVODE
from witness_scheme import COLUMNS, INSIDE, OUTSIDE, hourly, pack, rates

TOLERANCE = 1e-9


def witness_states(model, grid, temperature, log_suction, tolerance=TOLERANCE):
    """March a wall from a state of its cells; return T and log10 s at the end of each hour, (hours, cells).

    CVODE starts anew each hour, because the climate jumps there. Its error weights are absolute: `tolerance`
    in log10 s and 20 K times that in T.
    """
    wall = pack(grid, model.physics)
    outside, inside = hourly(model.external), hourly(model.internal)
    solver = CVODE(
        lambda t, y, dy: rates(wall, y, dy),
        rtol=0.0,
        atol=np.tile([20.0 * tolerance, tolerance], len(temperature)),
        linsolver="band",
        lband=3,
        uband=3,
        max_num_steps=1_000_000,
    )
    y = np.stack([temperature, log_suction], axis=1).ravel()
    states = np.empty((len(outside), len(y)))
    for hour in range(len(outside)):
        wall[OUTSIDE : OUTSIDE + COLUMNS] = outside[hour]
        wall[INSIDE : INSIDE + COLUMNS] = inside[hour]
        solver.init_step(0.0, y)
        step = solver.step(3600.0, tstop=3600.0)
        assert step.success, step.message
        y = step.y.ravel().copy()
        states[hour] = y
    return states[:, ::2], states[:, 1::2]
