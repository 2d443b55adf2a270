"""Observed order of accuracy in time and in space; in space apart for layers, surfaces and interfaces.

Each error is that against the same march with steps or cells far finer. Whether that limit is the right one
is for the exact solutions and the other programs to say.
"""

from dataclasses import replace
from functools import cache

import numpy as np
from scipy.interpolate import CubicSpline
from solver_walls import constant_boundary, layer, run, wall
from verification import Check, verifies
from wall_states import interface_states

from hygro.grid.cells import build_grid
from hygro.materials import load_material
from hygro.materials.liquid import NoLiquid
from hygro.materials.vapour import ResistanceTable
from hygro.physics.moist_air import relative_humidity
from hygro.solve.march import march
from hygro.solve.settings import Settings, Span

HOURS = 96
WHERE = ("layers", "surfaces", "interfaces")


def without_vapour(name):
    """A library material shut to vapour."""
    return replace(load_material(name), vapour=ResistanceTable((0.0,), (1e9,)), content="")


@cache
def layers_of(case):
    """Materials and thicknesses of the walls whose order is observed."""
    if case == "one material":
        return ((load_material("solid-brick"), 0.15),)
    if case == "liquid alone":
        return ((without_vapour("solid-brick"), 0.10), (without_vapour("lime-plaster"), 0.015))
    if case == "vapour alone":
        return tuple((replace(m, liquid=NoLiquid(), content=""), d) for m, d in layers_of("insulated"))
    names = (("solid-brick", 0.10), ("wood-fibre-rigid", 0.06), ("lime-plaster", 0.015))
    return tuple((load_material(name), thickness) for name, thickness in names)


def model(case="insulated"):
    """Layers between airs that stay, on their way from a uniform start."""
    outside = constant_boundary(
        hours=HOURS,
        temperature=275.15,
        relative_humidity=0.85,
        heat_coefficient=20.0,
        vapour_coefficient=7e-8,
    )
    inside = constant_boundary(
        hours=HOURS,
        temperature=293.15,
        relative_humidity=0.5,
        heat_coefficient=7.7,
        vapour_coefficient=2.5e-8,
    )
    return wall([layer(material, d, 285.15, 0.7) for material, d in layers_of(case)], outside, inside)


def states(case, scale, settings):
    """Humidity and temperature at the end: inside layers, at surfaces, at interfaces.

    Inside, a cubic through the cells of a layer is read at nine places in its middle half.
    """
    grid = build_grid(model(case), scale)
    solution = march(model(case), grid, Span((0, HOURS), HOURS), settings)
    assert not solution.failure
    t, x = solution.temperature[-1], solution.log_suction[-1]
    inner_t, inner_phi = [], []
    start = 0.0
    for k, (_, thickness) in enumerate(layers_of(case)):
        own = np.flatnonzero(grid.layer[1:-1] == k) + 1
        at = start + thickness * np.linspace(0.25, 0.75, 9)
        there_t, there_x = (CubicSpline(grid.depth[own], values[own])(at) for values in (t, x))
        inner_t.append(there_t)
        inner_phi.append(relative_humidity(10.0**there_x, there_t))
        start += thickness
    face_t, face_phi = interface_states(grid, t, x)
    ends = t[[0, -1]]
    return {
        "layers": (np.concatenate(inner_phi), np.concatenate(inner_t)),
        "surfaces": (relative_humidity(10.0 ** x[[0, -1]], ends), ends),
        "interfaces": (face_phi, face_t),
    }


@cache
def in_space(case, scale):
    """On cells of a scale, with steps so short that they leave no error."""
    return states(case, scale, Settings(tolerance=1e-7, longest_step=600.0))


LIMIT = 0.03125
"""Scale of the cells that stand for infinitely small ones."""


def observed(errors, halvings=1):
    """Order from two errors, the second so many halvings finer."""
    return float(np.log2(errors[0] / errors[1])) / halvings


QUANTITIES = ("humidity", "temperature")


def compare_in_space(verify, case, scales, groups=WHERE, quantities=QUANTITIES):
    """Orders over two halvings of the largest error in each group."""
    for where in groups:
        for what in quantities:
            k = QUANTITIES.index(what)
            exact = in_space(case, LIMIT)[where][k]
            errors = [np.abs(in_space(case, scale)[where][k] - exact).max() for scale in scales]
            print(where, what, errors)
            verify(f"{what} in {where}", observed(errors, 2))


def space_checks(order, tolerance, why, groups=WHERE):
    """One check a group and quantity."""
    return [
        Check(f"{what} in {where}", order, tolerance, why)
        for where in groups
        for what in ("humidity", "temperature")
    ]


SELF = "the same march on cells of a thirty-second; four days between airs that stay, from a uniform start"
SECOND = (
    "cells grow smoothly from each face, which keeps second order; a third for what is left of higher terms"
)
FAINT = (
    "at the fine cells of a surface only the first order of the sensible heat that water carries is left, at "
    "some 1e-6 K and 1e-7 of humidity: from 1 to somewhat below 2"
)


@verifies(
    "order",
    "Order in space: one material",
    kind="property",
    source=SELF,
    shows="150 mm of brick, heat, vapour and liquid together, from the default cells to a quarter of them.",
    checks=[
        *space_checks(2.0, 1 / 3, SECOND, WHERE[:1]),
        *space_checks(1.25, 0.5, FAINT, WHERE[1:2]),
    ],
)
def test_order_in_one_material(verify):
    compare_in_space(verify, "one material", (1.0, 0.25), WHERE[:2])


@verifies(
    "order",
    "Order in space: two materials, liquid alone",
    kind="property",
    source=SELF,
    shows="Brick and plaster shut to vapour, from half the default cells to an eighth. The suction that is "
    "solved for at "
    "the interface keeps it of second order.",
    checks=space_checks(2.0, 1 / 3, SECOND),
)
def test_order_of_liquid_across_an_interface(verify):
    compare_in_space(verify, "liquid alone", (0.5, 0.125))


@verifies(
    "order",
    "Order in space: three materials, vapour alone",
    kind="property",
    source=SELF,
    shows="Brick, wood fibre and plaster that pass no liquid: humidity, which vapour decides, inside and at "
    "interfaces.",
    checks=[Check(f"humidity in {where}", 2.0, 1 / 3, SECOND) for where in ("layers", "interfaces")],
)
def test_order_of_vapour_across_interfaces(verify):
    compare_in_space(verify, "vapour alone", (0.5, 0.125), ("layers", "interfaces"), ("humidity",))


@verifies(
    "order",
    "Order in space: vapour and liquid across interfaces",
    kind="property",
    source=SELF,
    shows="The same with all there is. Two parts of the scheme are of first order: sensible heat is carried "
    "at the "
    "temperature of the cell that water leaves, and vapour and liquid cross an interface each as if alone "
    "(alone, each is "
    "of second order). So the order falls from 2 towards 1 as everything else gets right; errors by then "
    "are some "
    "1e-5 of humidity and K.",
    checks=space_checks(1.5, 0.5, "between the first order of those parts and the second of the rest"),
)
def test_order_across_interfaces(verify):
    compare_in_space(verify, "insulated", (0.5, 0.125))


STEPS = (225.0, 112.5)


@cache
def in_time(step, solves):
    """With equal steps on the default cells: none is cut below the shortest."""
    return states(
        "insulated", 1.0, Settings(tolerance=1e-6, longest_step=step, shortest_step=step, solves=solves)
    )


def time_errors(solves):
    """Largest errors of humidity and temperature anywhere, for both steps."""
    finest = in_time(STEPS[1] / 16, 3)
    return [
        [
            max(np.abs(in_time(step, solves)[where][k] - finest[where][k]).max() for where in WHERE)
            for step in STEPS
        ]
        for k in (0, 1)
    ]


@verifies(
    "order",
    "Order in time",
    kind="property",
    source="the same march with steps a sixteenth as long",
    shows="Steps of 225 and 112.5 s, which the error control is told not to touch.",
    checks=[
        *[
            Check(
                f"{what}, standard method",
                2.0,
                0.5,
                "cells of 0.03 mm settle within a second, and the vapour that the first step after the "
                "jump at the start got wrong is given back a step later: some 1e-8 of first order",
            )
            for what in ("humidity", "temperature")
        ],
        *[Check(f"{what}, draft", 1.0, 0.2, "higher terms") for what in ("humidity", "temperature")],
    ],
)
def test_order_in_time(verify):
    for solves, name in ((3, "standard method"), (2, "draft")):
        for what, errors in zip(("humidity", "temperature"), time_errors(solves), strict=True):
            print(name, what, errors)
            verify(f"{what}, {name}", observed(errors))


def test_the_wall_is_still_on_its_way():
    """Orders of a state at rest would say nothing."""
    result = run(model(), field_every=24)
    assert np.abs(result.humidity[-1] - result.humidity[-2]).max() > 1e-3
