"""Liquid in walls.

Suction from free water, rain until full, drying in two stages, contact of two materials.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq
from solver_walls import constant_boundary, film, fixed_boundary, layer, run, series_boundary, wall, within
from verification import Check, verifies

from hygro.materials import list_materials, load_material
from hygro.materials.liquid import AbsorptionDiffusivity
from hygro.materials.vapour import ResistanceTable
from hygro.solve.balance import water_at

WARM = 293.15
EVAPORATION_ENTHALPY = 2.5e6  # EN 15026


def sucking():
    """Library materials whose liquid curve follows from their water absorption coefficient."""
    found = [load_material(name) for name in list_materials()]
    return [m for m in found if isinstance(m.liquid, AbsorptionDiffusivity)]


@pytest.mark.parametrize("material", sucking(), ids=lambda m: m.name)
@verifies(
    "liquid",
    "Every sucking material of the library sucks at its own coefficient",
    kind="published",
    source="ISO 15148: uptake A_w sqrt(t); the law for diffusivity (Kuenzel 1995, recalled) gives 1.0085 of "
    "it from dry, "
    "because its factor 3.8 is rounded",
    shows="Each material that states a water absorption coefficient is put into free water, dry and shut to "
    "vapour, "
    "until the front is a fifth of the way through. The worst material is shown.",
    checks=[
        Check(
            "uptake over A_w sqrt(t)",
            1.0085,
            0.01,
            "cells: a wave on the line as the front crosses them",
            "",
            True,
        ),
        Check("bend of the uptake over the root of time", 0.0, 0.01, "the same wave"),
    ],
)
def test_library_materials_suck_at_their_coefficient(material, verify):
    """Vapour is shut out: in materials that suck little it would bring as much."""
    coefficient = material.absorption_coefficient
    closed = replace(material, vapour=ResistanceTable((0.0,), (1e9,)), content="")
    hours = int(np.clip(np.ceil((0.05 * material.free_saturation / coefficient) ** 2 / 3600.0), 4, 3000))
    depth = 5.0 * coefficient * np.sqrt(3600.0 * hours) / material.free_saturation
    model = wall(
        [layer(closed, depth, WARM, 0.001)],
        fixed_boundary(temperature=WARM, suction=1.0, hours=hours),
        fixed_boundary(temperature=WARM, relative_humidity=0.001, hours=hours),
    )
    result = run(model, scale=0.25 if depth < 0.2 else 0.5, field_every=hours)
    ratio = np.cumsum(result.water_in[:, 0]) / np.sqrt(3600.0 * np.arange(1, hours + 1)) / coefficient
    verify("uptake over A_w sqrt(t)", ratio[-1])
    later = ratio[len(ratio) // 4 :]
    verify("bend of the uptake over the root of time", np.ptp(later) / later.mean())


@verifies(
    "liquid",
    "Rain on a wall shut behind",
    kind="exact",
    source="the rain that falls, 0.18 kg/(m2 h), and the room in the pores of 50 mm of brick",
    shows="Rain below what the wall can pass inward enters whole, hour by hour, until the wall is full; "
    "then none does.",
    checks=[
        Check("uptake of each hour while filling", "rain", 1e-9, "rounding", "kg/m2", True),
        Check(
            "rain taken up in all",
            "room in the pores",
            0.09,
            "rain of half an hour: a step of up to an hour may pass the mark",
            "kg/m2",
        ),
        Check("uptake of the last day, over the room", 0.0, 1e-6, "nothing enters a full wall"),
        Check(
            "water stored",
            "water that crossed the faces",
            1e-9,
            "state and content meet to round-off at the end of a run",
            "kg/m2",
            True,
        ),
    ],
)
def test_rain_is_taken_up_whole_until_the_wall_is_full(verify):
    """The back is shut; the rain that fits is free saturation less the start."""
    brick = load_material("solid-brick")
    hours, thickness, rain = 400, 0.05, 5e-5
    outside = constant_boundary(
        hours=hours,
        temperature=WARM,
        relative_humidity=0.6,
        heat_coefficient=20.0,
        vapour_coefficient=0.0,
        rain=rain,
    )
    inside = constant_boundary(
        hours=hours, temperature=WARM, relative_humidity=0.6, heat_coefficient=8.0, vapour_coefficient=0.0
    )
    result = run(
        wall([layer(brick, thickness, WARM, 0.6)], outside, inside), field_every=1, accuracy="reference"
    )
    room = brick.free_saturation * thickness - (result.water[0] * result.size).sum()
    filling = int(0.9 * room / (3600.0 * rain))
    verify("uptake of each hour while filling", result.rain_in[:filling, 0], 3600.0 * rain)
    verify("rain taken up in all", result.rain_in[:, 0].sum(), room)
    verify("uptake of the last day, over the room", result.rain_in[-24:, 0].sum() / room)
    stored = (result.water[-1] * result.size).sum() - (result.water[0] * result.size).sum()
    verify("water stored", stored, result.water_in.sum())


def test_rain_that_stops_leaves_no_more_uptake():
    """Hours without rain take up exactly nothing, and splash is no business of the solver.

    Uptake never above rain.
    """
    hours = np.arange(96)
    rain = np.where(hours % 12 < 3, 4e-4, 0.0)
    outside = series_boundary(
        temperature=283.15, relative_humidity=0.9, heat_coefficient=20.0, vapour_coefficient=1e-7, rain=rain
    )
    inside = constant_boundary(
        hours=96, temperature=WARM, relative_humidity=0.5, heat_coefficient=8.0, vapour_coefficient=2e-8
    )
    result = run(wall([layer(load_material("limestone"), 0.3, 283.15, 0.8)], outside, inside))
    taken = result.rain_in[:, 0]
    assert np.all(taken[rain == 0.0] == 0.0)
    assert np.all(taken <= 3600.0 * rain * (1 + 1e-12))
    assert taken.sum() < 0.999 * 3600.0 * rain.sum()  # such showers are more than limestone takes whole


@verifies(
    "liquid",
    "Drying in two stages",
    kind="exact",
    source="wet-bulb balance of the same coefficients: h (T_air - T) = h_v beta (p_sat(T) - p_air), 20 degC "
    "and 45 %",
    shows="A wet brick in an air stream first dries like a free wet surface at its wet-bulb temperature, "
    "then at less "
    "than a quarter of that rate, falling and never rising. When the stages change depends on the brick; "
    "that they "
    "do is published (Pel: a receding front after some 7 h in fired clay).",
    checks=[
        Check(
            "rate of hours 24 to 36",
            "free wet surface",
            0.005,
            "the slab has cooled by then; pores at 5e5 Pa stand over 99.6 % humidity",
            "kg/(m2 s)",
            True,
        ),
        Check(
            "surface temperature of hours 24 to 36", "wet bulb", 0.05, "half of what a good sensor shows", "K"
        ),
    ],
)
def test_drying_in_two_stages(verify):
    """The sensible heat that vapour takes away is that which the liquid brings."""
    brick = load_material("solid-brick-strongly-sucking")
    hours, h, beta, humidity = 24 * 60, 20.0, 1.4e-7, 0.45
    stream = constant_boundary(
        hours=hours, temperature=WARM, relative_humidity=humidity, heat_coefficient=h, vapour_coefficient=beta
    )
    shut = constant_boundary(
        hours=hours,
        temperature=WARM,
        relative_humidity=humidity,
        heat_coefficient=1e-6,
        vapour_coefficient=0.0,
    )
    result = run(wall([layer(brick, 0.06, WARM, suction=100.0)], stream, shut))

    def saturation(t):
        return 610.5 * np.exp(17.269 * (t - 273.15) / (t - 273.15 + 237.3))

    air = humidity * saturation(WARM)

    def surplus(t):
        return h * (WARM - t) - EVAPORATION_ENTHALPY * beta * (saturation(t) - air)

    wet_bulb = brentq(surplus, 274.0, WARM)
    free = beta * (saturation(wet_bulb) - air)
    rate = -result.water_in[:, 0] / 3600.0
    verify("rate of hours 24 to 36", rate[24:36], free)
    verify("surface temperature of hours 24 to 36", result.solution.temperature[24:36, 0], wet_bulb)
    left = (result.water[-1] * result.size).sum() / (result.water[0] * result.size).sum()
    assert rate[-24:].max() < 0.25 * free
    assert left < 0.5
    # The rate never rises once it has begun to fall.
    smooth = rate[36:].reshape(-1, 12).mean(axis=1)
    assert np.all(np.diff(smooth) < 1e-3 * free)


def contact(hours, scale=1.0):
    """Wet brick against dry calcium silicate, all faces shut."""
    shut = constant_boundary(
        hours=hours, temperature=WARM, relative_humidity=0.5, heat_coefficient=8.0, vapour_coefficient=0.0
    )
    brick, board = load_material("solid-brick"), load_material("calcium-silicate")
    layers = [layer(brick, 0.1, WARM, suction=3e3), layer(board, 0.05, WARM, 0.6)]
    return run(wall(layers, shut, shut), scale=scale, field_every=24)


@verifies(
    "liquid",
    "Two materials in contact",
    kind="exact",
    source="one suction on both sides (EN 15026), mass kept",
    shows="Wet brick against dry calcium silicate: within a day the step of suction at the contact has "
    "gone, that of water "
    "content has not, and water has only moved.",
    checks=[
        Check(
            "step of log suction left, over that at the start",
            0.0,
            0.01,
            "between the centres of two cells of 0.1 mm the gradient of the profile remains",
        ),
        Check("water in both after a day", "before", 1e-9, "books that close", "kg/m2", True),
    ],
)
def test_suction_is_continuous_where_materials_meet(verify):
    """All faces are shut."""
    result = contact(24)
    first, last = (np.flatnonzero(result.grid.layer[1:-1] == k) for k in (0, 1))
    a, b = first[-1], last[0]
    before = abs(result.log_suction[0, a] - result.log_suction[0, b])
    after = abs(result.log_suction[1, a] - result.log_suction[1, b])
    assert before > 4.0
    verify("step of log suction left, over that at the start", after / before)
    assert abs(result.water[1, a] - result.water[1, b]) > 50.0
    stored = (result.water * result.size).sum(axis=1)
    verify("water in both after a day", stored[1], stored[0])


@verifies(
    "liquid",
    "Two materials in contact, in the end",
    kind="exact",
    source="root of one equation: the suction at which both hold the water that there is",
    shows="The same pair left alone for 2000 days rests at one suction.",
    checks=[
        Check("log10 suction in every cell", "root of the equation", 1e-5, "2000 days leave less"),
        Check("temperature", WARM, 1e-6, "as above", "K"),
    ],
)
def test_two_materials_end_at_one_suction(verify):
    """At the end both hold what their own curve says at the one suction that uses up all the water."""
    result = contact(24 * 2000)
    grid, size = result.grid, result.grid.size
    stored = (result.water[0] * result.size).sum()
    common = brentq(
        lambda x: (water_at(grid, np.full(grid.nodes, x)) * size).sum() - stored, 0.0, 9.0, xtol=1e-12
    )
    verify("log10 suction in every cell", result.log_suction[-1], common)
    verify("temperature", result.temperature[-1])


def test_equal_curves_under_two_names_make_no_interface():
    """Brick against the same brick from another table goes through the interface's root.

    Nothing may change, to 1e-9.
    """
    brick = load_material("solid-brick")
    ends = (
        fixed_boundary(temperature=288.15, suction=1e4, hours=200),
        fixed_boundary(temperature=WARM, relative_humidity=0.7, hours=200),
    )
    one = [layer(brick, 0.1, WARM, 0.8), layer(brick, 0.15, WARM, 0.8)]
    two = [one[0], replace(one[1], table=replace(brick.table()))]
    a, b = (run(wall(layers, *ends)) for layers in (one, two))
    assert len(a.grid.tables) == 1
    assert len(b.grid.tables) == 2
    within(np.abs(a.water[-1] - b.water[-1]).max(), 1e-6, "water, kg/m3")
    within(np.abs(a.temperature[-1] - b.temperature[-1]).max(), 1e-6, "temperature, K")


def test_film_that_stops_liquid():
    """Ten metres of air between wet and dry brick: next to nothing passes, unless the film is open to liquid.

    Vapour through 10 m: 2e-10 * 1170 Pa / 10 m over ten days is 0.02 kg/m2.
    """
    brick = load_material("solid-brick")
    shut = constant_boundary(
        hours=240, temperature=WARM, relative_humidity=0.5, heat_coefficient=8.0, vapour_coefficient=0.0
    )
    layers = [layer(brick, 0.1, WARM, suction=1e3), layer(brick, 0.1, WARM, 0.5)]
    gained = []
    for films in ((), (film(1, 10.0, liquid_open=True),), (film(1, 10.0),)):
        result = run(wall(layers, shut, shut, films))
        inner = result.grid.layer[1:-1] == 1
        gained.append(((result.water[-1] - result.water[0]) * result.size)[inner].sum())
    within(abs(gained[1] / gained[0] - 1.0), 1e-3, "liquid-open film, share")
    within(gained[2], 0.02, "closed film, kg/m2")
    assert gained[0] > 10.0
