"""Steps of rainy hours: what a wall may take up, which hours are divided, and that calls may end anywhere."""

from dataclasses import replace

import numpy as np
import pytest
from solver_walls import layer, run, synthetic_climate, wall
from walls_in_rain import insulated

from hygro.grid.cells import build_grid
from hygro.materials import load_material
from hygro.materials.tables import LOG_SUCTION_HIGH, LOG_SUCTION_LOW
from hygro.solve import layout
from hygro.solve.march import Run, march
from hygro.solve.packing import EXCESS, STANDARD_TOLERANCE, settings_array
from hygro.solve.settings import ACCURACIES, Span
from hygro.solve.solves import restrained


def storm(hours=48):
    """A sandstone wall, wet from days of drizzle, in single hours of rain that it cannot all take."""
    outside, inside = synthetic_climate(hours, 3, rain=False)
    rain = np.full(hours, 0.1 / 3600.0)
    rain[24::6] = np.array([2.5, 6.0, 1.5, 10.0]) / 3600.0
    model = wall([layer(load_material("sandstone"), 0.2, 283.15, 0.999)], outside, inside)
    return replace(model, external=replace(outside, rain=rain))


def taken(model, **settings):
    return run(model, **settings).solution.flows[:, layout.F_RAIN_EXT]


def test_a_wall_takes_up_no_more_than_falls():
    """Within the share that a step may err by, in every hour; and some must run off, or nothing is tested."""
    model = storm()
    fallen = 3600.0 * model.external.rain
    for accuracy in ("draft", "standard", "reference"):
        rain = taken(model, accuracy=accuracy)
        share = EXCESS * min(ACCURACIES[accuracy].tolerance / STANDARD_TOLERANCE, 1.0)
        assert np.all(rain <= fallen * (1.0 + share))
        assert np.all(rain >= -share * fallen)
        assert (fallen - rain).max() > 1.0


@pytest.mark.parametrize(
    ("x", "d_x", "held_back"),
    [
        (1.05, -5.0, True),  # a face that rain fills
        (1.05, -0.5, False),
        (-0.5, 4.0, True),  # condensate that dries up
        (LOG_SUCTION_LOW - 3.0, -50.0, False),  # more condensate: content alone, along a straight line
        (LOG_SUCTION_HIGH, 5.0, False),  # as dry as can be
    ],
)
def test_a_node_that_was_held_back_has_another_iteration(x, d_x, held_back):
    """However little its humidity would change on the way."""
    settings = settings_array(ACCURACIES["reference"], 48, 48)
    work = np.zeros((1, layout.WORK_COLUMNS))
    state = np.array([283.15]), np.array([x])
    moves = restrained(*state, work, 0, 0.0, d_x, 0.0, 1.0, False, None, settings)[0]
    assert (moves > settings[layout.S_LEAP]) == held_back


def test_uptake_in_a_storm_is_that_of_short_steps():
    """5 % of what a storm adds: twice what a step may take beyond what falls, and half as much for runoff."""
    model = storm()
    fine = taken(model, accuracy="reference", longest_step=60.0, rain_step=60.0)
    usual = taken(model)
    heavy = model.external.rain > 1.0 / 3600.0
    print("taken up, kg/m2:", usual[heavy], "short steps:", fine[heavy])
    np.testing.assert_allclose(usual[heavy], fine[heavy], rtol=0.05)


def one_shower(hours=60, when=30):
    model = insulated(hours)
    rain = np.zeros(hours)
    rain[when] = 0.05 / 3600.0
    return replace(model, external=replace(model.external, rain=rain))


def test_the_hour_after_rain_is_divided_as_the_hour_of_rain():
    """Halves of two hours more than without the shower; the first hours are divided in either."""
    wet = one_shower()
    dry = replace(wet, external=replace(wet.external, rain=np.zeros(60)))
    steps = [run(model).solution.steps for model in (wet, dry)]
    assert steps[0] == steps[1] + 2


@pytest.mark.parametrize("cut", [30, 31, 32])
def test_a_call_may_end_before_in_and_after_the_rain(cut):
    """What the kernel carries from call to call tells that it has rained: the same bits."""
    model = one_shower()
    grid = build_grid(model)
    span, standard = Span((0, 60), 60), ACCURACIES["standard"]
    whole = march(model, grid, span, standard)
    parts = Run.start(model, grid, span, standard, np.arange(grid.nodes))
    parts.until(cut)
    parts.until(60)
    assert np.array_equal(parts.history()[:, :, 1], whole.log_suction)
    assert np.array_equal(parts.hourly_flows(), whole.flows)


def test_backward_euler_errs_as_its_tolerance_says():
    """The method for steps that find no other solution is judged as well: by what it moves.

    Of first order, its error goes with the step and that with the tolerance: a hundredth of that leaves at
    most a tenth, in the mean over nodes and hours.
    """
    model = insulated(36)
    fine = run(model, accuracy="reference", field_every=1).humidity
    errors = [
        np.abs(run(model, field_every=1, solves=1, tolerance=tolerance).humidity - fine).mean()
        for tolerance in (0.1, 0.001)
    ]
    print("mean error of humidity:", errors)
    assert errors[1] < 0.1 * errors[0]
