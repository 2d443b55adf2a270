"""What must hold for any wall in any weather: drawn by hypothesis, the same walls in every run."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from random_models import AT_REST, LOG_SUCTION, WALL, layers_of, may_overflow, table, wall_at_rest, wall_of
from solver_walls import mirrored, run
from verification import Check, verifies

from hygro.grid import cells
from hygro.grid.cells import build_grid
from hygro.materials.tables import STEPS_PER_DECADE

FEW, MANY = 60, 300
DRAWN = (
    "walls of 1 to 8 layers drawn by hypothesis from the whole library and from random materials, with "
    "films, for two days of frost, sun, showers and storms"
)

# What evaporation can take from a surface below the coldest air, and condensation add above the warmest [K].
LATENT = 15.0

BALANCE = 5e-6


def outcome(model, **options):
    """March; a wall that fails is a failure."""
    result = run(model, **options)
    assert result.solution.failure == ""
    return result


def check_books(verify, model):
    result = outcome(model)
    solution, grid = result.solution, result.grid
    water, heat = solution.balance_errors()
    full = solution.log_suction[-1].min() < BRIM
    verify("water", 0.0 if full else water[0])
    missing = solution.water[-1] - solution.water[0] - result.water_in.sum()
    wettest, still_wet = (grid.tables[grid.table, node, 0] for node in (0, BRIM_NODE))
    slack = ((wettest - still_wet) * grid.size).sum()
    verify("water, where a cell is full, over what its last pores hold", missing / slack if full else 0.0)
    verify("heat", heat[0])


BRIM = 1.0
"""log10 of the suction [Pa] below which a surface takes rain up no more in whole."""

BRIM_NODE = int((BRIM - LOG_SUCTION[0]) * STEPS_PER_DECADE)

BOOKS = [
    Check(
        "water",
        0.0,
        BALANCE,
        "the change of humidity at which an iteration ends at a day's end, where state and content are "
        "brought together",
        "of what crossed",
    ),
    Check(
        "water, where a cell is full, over what its last pores hold",
        0.0,
        1.0,
        "between a suction of 10 Pa and the wet end of the tables all states are one to every flow: books "
        "may differ by the "
        "water between them, some 1e-4 of the pore space",
    ),
    Check("heat", 0.0, BALANCE, "as for water", "of what crossed"),
]


@verifies(
    "properties",
    "Nothing is lost",
    kind="property",
    source=DRAWN,
    shows="What is in the wall at the end is what was in it, plus what crossed its two faces.",
    checks=BOOKS,
)
def test_balances(verify):
    @given(WALL)
    @settings(max_examples=FEW)
    def holds(drawn):
        model = wall_of(drawn)
        check_books(verify, model)

    holds()


def bounds(model):
    """Coldest and warmest that a wall can get [K]."""
    met = [layer.initial_temperature for layer in model.layers]
    for boundary in (model.external, model.internal):
        met += [*boundary.temperature, *boundary.air_temperature]
    return min(met) - LATENT, max(met) + LATENT


def check_range(verify, model):
    result = outcome(model, field_every=1)
    solution, grid = result.solution, result.grid
    for values in (solution.temperature, solution.log_suction, solution.flows):
        assert np.isfinite(values).all()
    humidity = result.humidity
    verify("relative humidity below 0 or above 1", max(-humidity.min(), humidity.max() - 1.0, 0.0))
    low, high = bounds(model)
    beyond = max(low - solution.temperature.min(), solution.temperature.max() - high, 0.0)
    verify("temperature beyond what air and latent heat allow", beyond)
    full = grid.tables[grid.table[1:-1], 0, 0]  # at the wettest node
    over = np.where(may_overflow(model, grid), 0.0, result.water / full - 1.0)
    verify("water beyond the pore space, over it", max(over.max(), 0.0))
    verify("water below none", max(-result.water.min(), 0.0))
    dry = solution.log_suction.max() - LOG_SUCTION[-1]
    verify("suction beyond the driest of the tables", max(dry, 0.0))


RANGE = [
    Check("relative humidity below 0 or above 1", 0.0, 1e-9, "rounding"),
    Check(
        "temperature beyond what air and latent heat allow",
        0.0,
        0.0,
        "15 K are allowed below the coldest and above the warmest air: no wet bulb lies lower",
        "K",
    ),
    Check(
        "water beyond the pore space, over it",
        0.0,
        1e-3,
        "a tenth of what porosity is known to; at a full cell suction decides nothing and may overshoot. "
        "Cells against a film "
        "or material that stops liquid may hold condensate beyond it and are left out",
    ),
    Check("water below none", 0.0, 0.0, "no error is allowed", "kg/m3"),
    Check("suction beyond the driest of the tables", 0.0, 0.0, "no error is allowed", "decades"),
]


@verifies(
    "properties",
    "No state leaves its range",
    kind="property",
    source=DRAWN,
    shows="Every cell, every hour.",
    checks=RANGE,
)
def test_range(verify):
    @given(WALL)
    @settings(max_examples=FEW)
    def holds(drawn):
        model = wall_of(drawn)
        check_range(verify, model)

    holds()


def check_mirror(verify, model):
    a, b = (outcome(m, **CLOSE) for m in (model, mirrored(model)))
    flip = slice(None, None, -1)
    verify("humidity", a.humidity[-1], b.humidity[-1, flip])
    verify("temperature", a.temperature[-1], b.temperature[-1, flip])
    verify("water across the faces in an hour", a.water_in, b.water_in[:, flip])


CLOSE = {"accuracy": "reference", "tolerance": 1e-6, "shortest_step": 0.01}
SUMS = "elimination runs the other way, and steps with it: five times the tolerance of a step"
MIRROR = [
    Check("humidity", "mirrored", 5e-6, SUMS),
    Check("temperature", "mirrored", 1e-4, "20 K times that", "K"),
    Check(
        "water across the faces in an hour",
        "mirrored",
        1e-5,
        "a storm brings 1.5 kg/m2 in an hour, 4e-6 in the hundredth of a second that the shortest step "
        "takes; two or three of these may differ",
        "kg/m2",
    ),
]


# Faces that take up less than falls from some moment of an hour on, which steps have to find.
BEGINS_TO_RUN_OFF = ([(40, 0.208, 0.5)], [], 0)
FILLS = ([(0, 0.01, 0.6774043940838436)], [], 5)
FILLS_AT_LAST = ([(26, 0.01, 0.35)], [], 0)


@verifies(
    "properties",
    "A mirrored wall gives the mirrored result",
    kind="property",
    source=DRAWN + "; climates, layers and films swapped",
    shows="Outside and inside are names. Any sign or index that favours one side shows here.",
    checks=MIRROR,
)
def test_mirror(verify):
    @given(WALL)
    @example(BEGINS_TO_RUN_OFF)
    @example(FILLS)
    @example(FILLS_AT_LAST)
    @settings(max_examples=FEW)
    def holds(drawn):
        model = wall_of(drawn)
        check_mirror(verify, model)

    holds()


@pytest.mark.parametrize("drawn", [BEGINS_TO_RUN_OFF, FILLS])
def test_runoff_begins_when_it_does_from_either_side(drawn):
    """With steps that are longer than those of `test_mirror`, among which a wrong one does not drown."""
    model = wall_of(drawn)
    longer = {**CLOSE, "tolerance": 1e-5, "shortest_step": 0.1}
    a, b = (outcome(m, **longer) for m in (model, mirrored(model)))
    assert np.abs(a.water_in - b.water_in[:, ::-1]).max() < 1e-5  # kg/m2: the bound of `MIRROR`
    assert np.abs(a.temperature[-1] - b.temperature[-1, ::-1]).max() < 1e-4  # K, likewise


def split(model):
    """Cut the thickest layer in two of the same material, at a third of it, on a multiple of 2 mm."""
    k = int(np.argmax([layer.thickness for layer in model.layers]))
    whole = model.layers[k]
    first = max(round(whole.thickness / 3 / PIECE), 1) * PIECE
    pieces = (replace(whole, thickness=first), replace(whole, thickness=whole.thickness - first))
    films = tuple(
        replace(film, position=film.position + 1) if film.position > k else film for film in model.films
    )
    return replace(model, layers=(*model.layers[:k], *pieces, *model.layers[k + 1 :]), films=films)


PIECE = 2e-3


def even_cells(thickness, *_):
    """Cells of 1 mm whatever the layer."""
    return np.full(round(thickness / PIECE) * 2, PIECE / 2)


def check_split(verify, model):
    whole, cut = outcome(model), outcome(split(model))
    assert len(whole.depth) == len(cut.depth)
    verify("humidity, every cell", cut.humidity[-1], whole.humidity[-1])
    verify("temperature, every cell", cut.temperature[-1], whole.temperature[-1])


SPLIT = [
    Check("humidity, every cell", "whole", 1e-9, "the same sums in the same order"),
    Check("temperature, every cell", "whole", 1e-7, "as above", "K"),
]


@verifies(
    "properties",
    "A cut through one material changes nothing",
    kind="property",
    source=DRAWN + "; the thickest layer cut in two, cells of 1 mm before and after",
    shows="On the same cells a cut must not show at all.",
    checks=SPLIT,
)
def test_split_on_the_same_cells(verify, monkeypatch):
    monkeypatch.setattr(cells, "layer_cells", even_cells)

    @given(WALL)
    @settings(max_examples=FEW)
    def holds(drawn):
        model = wall_of(drawn)
        check_split(verify, model)

    holds()


def check_rest(verify, model):
    result = outcome(model)
    start = result.humidity[0]
    frost = abs(result.temperature[0, 0] - 273.15) < 0.02
    verify("humidity", result.humidity, np.broadcast_to(start, result.humidity.shape))
    verify("humidity, not within 0.02 K of frost", 0.0 if frost else np.abs(result.humidity - start).max())
    moved = result.temperature - result.temperature[0, 0]
    verify("temperature", result.temperature, result.temperature - moved)
    verify("temperature, not within 0.02 K of frost", 0.0 if frost else np.abs(moved).max())
    verify("water across the faces in an hour", result.water_in)
    verify("heat across the faces", result.heat_in / 3600.0)


TABLED = (
    "saturation pressure of the air is exact, that of the wall tabulated every 0.02 K and linear between: "
    "up to 2e-7 of "
    "it apart"
)
REST = [
    Check(
        "humidity",
        "start",
        5e-5,
        "the saturation pressure of the standard has a kink of 6 Pa/K at 0 degC, which the table rounds: 6 "
        "* 0.02 / 4 of "
        "610 Pa",
    ),
    Check("humidity, not within 0.02 K of frost", 0.0, 1e-6, TABLED),
    Check("temperature", "start", 3e-3, "the latent heat of 0.03 Pa against 5 W/(m2 K)", "K"),
    Check(
        "temperature, not within 0.02 K of frost", 0.0, 5e-5, "the latent heat of 2e-7 of the pressure", "K"
    ),
    Check(
        "water across the faces in an hour",
        0.0,
        2.5e-5,
        "0.03 Pa at frost through 2e-7 kg/(m2 s Pa)",
        "kg/m2",
    ),
    Check("heat across the faces", 0.0, 0.02, "the latent heat of that", "W/m2"),
]


@verifies(
    "properties",
    "Rest stays rest",
    kind="property",
    source="walls of 1 to 8 layers at one temperature (-8 to 30 degC) and humidity (20 to 97 %), between "
    "airs of the same",
    shows="No flow without a difference: neither materials in contact nor surfaces drive anything by "
    "themselves.",
    checks=REST,
)
def test_rest(verify):
    @given(AT_REST)
    @settings(max_examples=FEW)
    def holds(drawn):
        model = wall_at_rest(drawn)
        check_rest(verify, model)

    holds()


@verifies(
    "properties",
    "Same input, same bits",
    kind="property",
    source=DRAWN,
    shows="A result can be repeated.",
    checks=[Check("values that differ", 0.0, 0.0, "no error is allowed")],
)
def test_bits(verify):
    @given(WALL)
    @settings(max_examples=FEW)
    def holds(drawn):
        model = wall_of(drawn, hours=24)
        a, b = outcome(model).solution, outcome(model).solution
        pairs = ((a.temperature, b.temperature), (a.log_suction, b.log_suction), (a.flows, b.flows))
        verify("values that differ", sum(int((x != y).sum()) for x, y in pairs))

    holds()


@pytest.mark.slow
@verifies(
    "properties",
    "Three hundred walls for a week",
    kind="property",
    source=DRAWN.replace("two days", "a week"),
    shows="More of balances and ranges than the default run has time for.",
    checks=[*BOOKS, *RANGE],
)
def test_many_walls(verify):
    @given(WALL)
    @settings(max_examples=MANY)
    def holds(drawn):
        model = wall_of(drawn, hours=168)
        check_books(verify, model)
        check_range(verify, model)

    holds()


@pytest.mark.slow
@verifies(
    "properties",
    "Three hundred mirrored walls",
    kind="property",
    source=DRAWN,
    shows="More of the mirror.",
    checks=MIRROR,
)
def test_many_mirrors(verify):
    @given(WALL)
    @settings(max_examples=MANY)
    def holds(drawn):
        model = wall_of(drawn)
        check_mirror(verify, model)

    holds()


@pytest.mark.slow
@verifies(
    "properties",
    "Three hundred walls at rest",
    kind="property",
    source="as above",
    shows="More of rest.",
    checks=REST,
)
def test_many_at_rest(verify):
    @given(AT_REST)
    @settings(max_examples=MANY)
    def holds(drawn):
        model = wall_at_rest(drawn)
        check_rest(verify, model)

    holds()


def test_the_draws_are_rough_enough():
    """The walls of a default run hold frost, storms, films, many layers and random materials."""
    seen = {"layers": 0, "frost": False, "storm": 0.0, "films": 0, "random": 0, "overflow": 0}

    @given(WALL)
    @settings(max_examples=FEW)
    def look(drawn):
        model = wall_of(drawn)
        seen["layers"] = max(seen["layers"], len(model.layers))
        seen["frost"] |= bool(model.external.temperature.min() < 270.0)
        seen["storm"] = max(seen["storm"], 3600.0 * model.external.rain.max())
        seen["films"] += len(model.films)
        seen["random"] += sum(layer.table.material.startswith("random") for layer in model.layers)

    look()
    assert seen["layers"] >= 4
    assert seen["frost"]
    assert seen["storm"] > 2.0
    assert seen["films"] >= 3
    assert seen["random"] >= 3


def test_what_may_overflow_is_the_exception():
    """The range of water is checked in most cells of an ordinary wall."""
    model = layers_of([("solid-brick", 0.2, 0.8), ("lime-plaster", 0.02, 0.6)])
    assert table("solid-brick") is model[0].table

    @given(WALL)
    @settings(max_examples=FEW)
    def look(drawn):
        wall = wall_of(drawn, hours=24)
        shares.append(may_overflow(wall, build_grid(wall)).mean())

    shares = []
    look()
    assert np.mean(shares) < 0.5
