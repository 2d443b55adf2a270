"""The grid and the fluxes against another way to discretise: vertices on a fine, even grid.

witness_vertices.py says what differs; it shares hygro's tables of material curves and nothing of its scheme.
"""

from functools import cache

import numpy as np
import pytest
import witness_cases
from verification import Check, verifies
from wall_states import interface_states, layer_water
from witness_vertices import vertex_states

from hygro.grid.cells import build_grid
from hygro.materials.tables import LOG_SUCTION
from hygro.physics.moist_air import relative_humidity
from hygro.solve.march import march
from hygro.solve.settings import Settings, Span

# Spacing of the even grid [m], chosen so that half of it changes the interfaces by less than a third of the
# limit on fine cells (slow test).
SPACING = {"insulated_brick": 5e-4, "wool_behind_brick": 5e-4, "rendered_brick": 1e-4, "finished_wall": 2e-4}
# The first day leaves a state of one humidity at all depths, which neither grid resolves at once.
SETTLED = 24


def states_of_vertices(name, spacing):
    """Temperature and humidity of interfaces, temperature of surfaces, water in layers, hour by hour."""
    model = getattr(witness_cases, name)()
    t, x, depth, interfaces = vertex_states(model, spacing)
    edges = [0, *interfaces, len(depth) - 1]
    water = []
    for k, layer in enumerate(model.layers):
        own = x[:, edges[k] : edges[k + 1] + 1]
        water.append(np.trapezoid(np.interp(own, LOG_SUCTION, layer.table.water_content), dx=spacing, axis=1))
    at = t[:, interfaces]
    return at, relative_humidity(10.0 ** x[:, interfaces], at), t[:, [0, -1]], np.stack(water, axis=1)


@cache
def vertices(name):
    """The even grid of a case, marched once."""
    return states_of_vertices(name, SPACING[name])


@cache
def marched(name, scale):
    """The same of hygro, so tight in time that cells alone are left to err."""
    model = getattr(witness_cases, name)()
    grid = build_grid(model, scale)
    hours = len(model.external.temperature)
    solution = march(model, grid, Span((0, hours), hours), Settings(tolerance=1e-5))
    assert not solution.failure
    t, phi = interface_states(grid, solution.temperature, solution.log_suction)
    return t, phi, solution.temperature[:, [0, -1]], layer_water(grid, solution.log_suction)


def errors(name, scale):
    """Differences after the first day."""
    pairs = zip(marched(name, scale), vertices(name), strict=True)
    return [(ours - theirs)[SETTLED:] for ours, theirs in pairs]


def checks():
    """The checks of one wall."""
    fine = "half of the 1 % that the best humidity sensors promise, in the worst hour"
    return [
        Check(
            "interface humidity, default cells, root mean square",
            0.0,
            2.5e-3,
            "a quarter of the 1 % that the best humidity sensors promise",
        ),
        Check("interface humidity, a quarter of the cells, worst hour", "vertices", 5e-3, fine),
        Check(
            "interface temperature, the same, worst hour",
            "vertices",
            0.05,
            "half of what a good sensor shows",
            "K",
        ),
        Check(
            "share of the interface error left by halving the default cells",
            0.0,
            0.6,
            "first order, which cells that grow have at worst, leaves a half; a tenth for the even grid's "
            "own error",
        ),
        Check(
            "water in each layer, the same cells, worst hour",
            "vertices",
            0.01,
            "10 g/m2, a twentieth of the 200 g/m2 of condensate that ISO 13788 quotes as a limit",
            "kg/m2",
        ),
    ]


def compare(name, verify):
    """All checks of one wall."""
    _, coarse, _, _ = errors(name, 1.0)
    _, middle, _, _ = errors(name, 0.5)
    rms = np.sqrt((coarse**2).mean(axis=0)).max()
    verify("interface humidity, default cells, root mean square", rms)
    left = np.abs(middle).max(axis=0) / np.abs(coarse).max(axis=0)
    verify("share of the interface error left by halving the default cells", left)
    ours, theirs = marched(name, 0.25), vertices(name)
    verify("interface humidity, a quarter of the cells, worst hour", ours[1][SETTLED:], theirs[1][SETTLED:])
    verify("interface temperature, the same, worst hour", ours[0][SETTLED:], theirs[0][SETTLED:])
    verify("water in each layer, the same cells, worst hour", ours[3][SETTLED:], theirs[3][SETTLED:])


METHOD = (
    "vertices on an even grid of {} mm, liquid by diffusivity and water content, integrated by SUNDIALS CVODE"
)


@verifies(
    "witness",
    "In space: brick, wood fibre, plaster",
    kind="witness",
    source=METHOD.format(0.5),
    shows="Ten days of cold nights without rain. Shared with hygro: the tables of the material curves. Not "
    "shared: where "
    "unknowns sit, how liquid and vapour are averaged, what happens at interfaces and surfaces.",
    checks=checks(),
)
def test_insulated_brick(verify):
    compare("insulated_brick", verify)
    humidity = vertices("insulated_brick")[1]
    assert np.ptp(humidity, axis=0).min() > 0.05  # the interfaces live through something


@verifies(
    "witness",
    "In space: mineral wool behind brick",
    kind="witness",
    source=METHOD.format(0.5),
    shows="Ten cold days and ten mild ones without a retarder: water gathers where wool that cannot suck "
    "meets brick that "
    "can.",
    checks=checks(),
)
def test_wool_behind_brick(verify):
    compare("wool_behind_brick", verify)
    assert vertices("wool_behind_brick")[1].max() > 0.95


@verifies(
    "witness",
    "In space: rendered brick in showers and sun",
    kind="witness",
    source=METHOD.format(0.1),
    shows="Rain fronts pass a thin plaster and reach the brick; the sun dries them. The hardest kind of "
    "wall for the default "
    "cells.",
    checks=checks(),
)
def test_rendered_brick(verify):
    compare("rendered_brick", verify)
    water = vertices("rendered_brick")[3]
    assert np.ptp(water[:, 1]) > 0.5  # water reached the brick


@verifies(
    "benchmarks",
    "A wall like benchmark 4: load-bearing layer and hygroscopic finish",
    kind="witness",
    source=METHOD.format(0.2) + "; witness_cases.py says which inputs are printed, recalled and ours",
    shows="Not the benchmark: its climate file and liquid curves are not at hand. The finish, the kind of "
    "weather (cold, two "
    "showers, square waves of sun of 40 K with showers) are as printed, the bearing layer as recalled, the "
    "rest ours.",
    checks=checks(),
)
def test_finished_wall(verify):
    compare("finished_wall", verify)
    assert np.ptp(vertices("finished_wall")[1]) > 0.4


ROOF_HOURS = [23, 239]


@cache
def roofs():
    """Water in both layers of the roof after 1 and 10 days: hygro on default cells, and the even grid."""
    return marched("sealed_roof", 1.0)[3][ROOF_HOURS], states_of_vertices("sealed_roof", 5e-4)[3][ROOF_HOURS]


@verifies(
    "benchmarks",
    "A roof like benchmark 1: condensation under a sealed load-bearing layer",
    kind="witness",
    source=METHOD.format(0.5) + "; witness_cases.py says which inputs are recalled and ours",
    shows="Not the benchmark: its climate file and the resistance of its insulation to vapour are not at "
    "hand. What the room "
    "gives the roof in ten cold days agrees. Where in the roof that water lies does not yet, see the end of "
    "this page.",
    checks=[
        Check(
            "water that the room gave from the second to the tenth day",
            "vertices",
            0.01,
            "10 g/m2, as for the wall above",
            "kg/m2",
        ),
    ],
)
def test_sealed_roof(verify):
    ours, theirs = roofs()
    gained, expected = (np.diff(water.sum(axis=1))[0] for water in (ours, theirs))
    verify("water that the room gave from the second to the tenth day", gained, expected)


@pytest.mark.xfail(
    reason="between a material without liquid and one whose vapour paths are full of water, moisture has to "
    "cross the wet "
    "half cell as vapour: the interface is not yet free to condense what the wet side could carry off"
)
def test_sealed_roof_holds_its_water_where_vertices_do():
    ours, theirs = roofs()
    assert np.abs(ours - theirs)[1].max() < 0.02


@pytest.mark.slow
@pytest.mark.parametrize("name", SPACING)
def test_even_grids_have_converged(name):
    """Half the spacing moves the interfaces by less than a third of the limit on fine cells."""
    finer = states_of_vertices(name, SPACING[name] / 2)
    assert np.abs(finer[1] - vertices(name)[1])[SETTLED:].max() < 5e-3 / 3
    assert np.abs(finer[3] - vertices(name)[3])[SETTLED:].max() < 0.01 / 3
