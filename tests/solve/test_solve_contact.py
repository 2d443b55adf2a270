"""Imperfect contact of two layers for liquid: a resistance between the two suctions at the interface."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from solver_walls import STANDARD, film, fixed_boundary, layer, run, wall, within
from test_solve_flows import BRICK, SOFTWOOD, TABLES, X_STEP, flow_between, suctions
from walls_in_rain import insulated

from hygro.grid.cells import build_grid
from hygro.materials import load_material
from hygro.materials.tables import LOG_SUCTION
from hygro.materials.vapour import ResistanceTable
from hygro.solve.liquid import contact_flow, interface_flow

SIZES = (0.002, 0.006)


def potential(table, x):
    return float(np.interp(x, LOG_SUCTION, TABLES[table, :, 2]))


def across(x_left, x_right, contact, pair=(BRICK, SOFTWOOD)):
    left, right = pair
    ends = (potential(left, x_left), potential(right, x_right))
    return contact_flow(TABLES, left, right, x_left, x_right, *ends, *SIZES, contact)


pairs = st.sampled_from([(BRICK, SOFTWOOD), (SOFTWOOD, BRICK), (BRICK, BRICK)])


@given(suctions, suctions, st.floats(5.0, 15.0), pairs)
@settings(max_examples=200, deadline=None, derandomize=True)
def test_both_sides_carry_what_the_contact_passes(x_left, x_right, log_contact, pair):
    """From the flux back to the suctions at the two faces, by inverting both curves apart.

    Their difference over the resistance is the flux again, within rounding of suctions of up to 1e10 Pa.
    """
    contact = 10.0**log_contact
    flow, share_left, share_right = across(x_left, x_right, contact, pair)
    ends = tuple(potential(table, x) for table, x in zip(pair, (x_left, x_right), strict=True))
    perfect, _, _ = interface_flow(TABLES, *pair, x_left, x_right, *ends, *SIZES)
    assert abs(flow) <= abs(perfect) * (1.0 + 1e-12)
    assert flow * perfect >= 0.0
    assert 0.0 <= share_left <= 1.0
    assert 0.0 <= share_right <= 1.0
    assert share_left + share_right <= 1.0 + 1e-12
    # Potentials at the faces, which flux and half cells prescribe; suction there from the other side.
    faces = (ends[0] - 0.5 * SIZES[0] * flow, ends[1] + 0.5 * SIZES[1] * flow)
    low, high = min(x_left, x_right), max(x_left, x_right)
    lines = np.linspace(low, high, 20001)
    at = [
        np.interp(-face, -np.interp(lines, LOG_SUCTION, TABLES[table, :, 2]), lines)
        for face, table in zip(faces, pair, strict=True)
    ]
    slopes = [np.interp(x, LOG_SUCTION, TABLES[table, :, 3]) for x, table in zip(at, pair, strict=True)]
    if min(-slope for slope in slopes) < 1e-9 * max(ends):  # too flat to be inverted
        return
    left, right = 10.0 ** np.array(at)
    assert (right - left) / contact == pytest.approx(flow, rel=1e-3, abs=1e-6 * max(left, right) / contact)


@given(suctions, suctions, st.floats(6.0, 13.0), pairs)
@settings(max_examples=150, deadline=None, derandomize=True)
def test_slopes_across_a_contact(x0, x1, log_contact, pair):
    """Slopes of water over both suctions against central differences, within 1 %.

    Left out are states with a kink within the difference, as for perfect contact.
    """
    values = np.array([288.0, x0, 288.0, x1])
    contact = 10.0**log_contact

    def water(v):
        return flow_between(v, *pair, -1, 1.0, contact)[0]

    flow = flow_between(values, *pair, -1, 1.0, contact)
    for k in (1, 3):
        up, down = values.copy(), values.copy()
        up[k] += X_STEP
        down[k] -= X_STEP
        one, other = (water(up) - flow[0]) / X_STEP, (flow[0] - water(down)) / X_STEP
        rounding = 1e-11 * abs(flow[0]) / X_STEP + 1e-13
        if abs(one - other) > 1e-2 * (abs(one) + abs(other)) + rounding:
            continue
        assert flow[1 + k] == pytest.approx(0.5 * (one + other), rel=1e-2, abs=rounding)


@pytest.mark.parametrize("pair", [(BRICK, SOFTWOOD), (BRICK, BRICK)])
def test_limits_are_perfect_contact_and_none(pair):
    ends = (potential(pair[0], 4.0), potential(pair[1], 6.0))
    perfect = interface_flow(TABLES, *pair, 4.0, 6.0, *ends, *SIZES)
    assert across(4.0, 6.0, 1e-6, pair) == pytest.approx(perfect, rel=1e-9)
    flow, share_left, share_right = across(4.0, 6.0, 1e20, pair)
    # All of the difference lies across the contact.
    assert flow == pytest.approx((1e6 - 1e4) / 1e20, rel=1e-3)
    assert max(share_left, share_right) < 1e-4


def uptake(contact, hours=48, closed=False):
    """Water that two bricks of 30 mm take up from a wet face; the inner one counts apart.

    Shut to vapour, which would cross the contact from wet to dry however much that resists liquid.
    """
    shut = ResistanceTable((0.0,), (1e9,))
    brick = replace(load_material("solid-brick"), vapour=shut, content="")
    second = replace(layer(brick, 0.03, 293.15, 0.5, name="second"), contact_resistance=contact)
    wet = fixed_boundary(temperature=293.15, suction=1.0, hours=hours)
    dry = fixed_boundary(temperature=293.15, relative_humidity=0.5, hours=hours)
    films = [film(1, 0.0, liquid_open=False)] if closed else []
    layers = [layer(brick, 0.03, 293.15, 0.5, name="first"), second]
    result = run(wall(layers, wet, dry, films, STANDARD), field_every=1)
    assert result.solution.failure == ""
    water, heat = result.solution.balance_errors()
    within(max(np.abs(water).max(), np.abs(heat).max()), 1e-9, "balance")
    inner = result.grid.layer[1:-1] == 1
    return (result.water * result.size)[:, inner].sum(axis=1)


def test_uptake_of_two_bricks_is_slowed_between_its_limits():
    """More resistance, later and less in the second brick; 0 is perfect contact, infinity a film."""
    perfect, closed = uptake(0.0), uptake(0.0, closed=True)
    found = [uptake(contact) for contact in (1e-3, 1e9, 1e10, 1e11, 1e19)]
    gained = [water[6] - water[0] for water in found]
    print("water in the second brick after 6 h, kg/m2:", gained)
    assert all(more > less for more, less in zip(gained, gained[1:], strict=False))
    np.testing.assert_allclose(found[0], perfect, rtol=2e-3)
    np.testing.assert_allclose(found[-1], closed, rtol=2e-3)
    assert gained[0] > 10.0 * gained[-1]


def test_resistance_lies_on_the_face_outside_of_its_layer():
    model = insulated(1)
    layers = (model.layers[0], *(replace(item, contact_resistance=7.0) for item in model.layers[1:]))
    grid = build_grid(replace(model, layers=layers))
    faces = np.flatnonzero(grid.contact)
    assert np.all(grid.layer[faces] + 1 == grid.layer[faces + 1])
    assert len(faces) == len(layers) - 1
    assert set(grid.contact[faces]) == {7.0}
