"""From [room.balance] to the room that a wall is built with."""

from __future__ import annotations

import numpy as np
import pytest
from small_case import TEXT

from hygro.model.build import build_wall
from hygro.model.climates import balanced_room_of, room_climate_of
from hygro.report.assumptions import assumptions
from hygro.results.coupled import first_hour, is_coupled

ROOM = '[room]\nclimate = "EN 15026 normal"\n'
PLAIN = "volume_m3 = 200\nair_changes_per_hour = 0.5\n"


@pytest.fixture
def house(read_in_weather):
    """Return a function that reads the small case with keys of [room.balance]."""

    def read(keys, climate="balance", more=""):
        room = f'[room]\nclimate = "{climate}"\n[room.balance]\n{keys}\n{more}'
        return read_in_weather(TEXT.replace(ROOM, room))

    return read


@pytest.mark.parametrize(
    ("keys", "made"),
    [
        ("moisture_kg_per_day = 7.5", 7.5),
        ("persons = 4", 10.0),
        ('persons = 4\nhabits = "dry"\ndrying_loads_per_week = 3.5', 7.5),
        ("bedrooms = 3", 14.0),
    ],
)
def test_moisture_production(house, keys, made):
    room = balanced_room_of(house(PLAIN + keys))
    assert room.production.mean() * 86400.0 == pytest.approx(made)


def test_keys_reach_the_room(house):
    keys = (
        "floor_area_m2 = 100\nheight_m = 3.0\nair_changes_per_hour = 0.3\ninfiltration_per_hour = 0.4\n"
        "extract_m3_per_hour = 90\nair_changes_rise_per_hour_K = 0.0\nmoisture_kg_per_day = 9\n"
        "heating_setpoint_C = 22\nfree_rise_K = 0.0\nheat_recovery_efficiency = 1.0\n"
        "moisture_recovery_efficiency = 0.5\nbuffer_area_m2 = 0\n"
    )
    room = balanced_room_of(house(keys))
    np.testing.assert_allclose(room.air_changes, 0.3 + 0.5)
    assert (room.air_temperature == 295.15).all()
    assert room.air.buffered.shape[1] == 0
    # all heat of 0.3 comes back, and half of its moisture: 0.5 and 0.65 air changes are left
    difference = (room.air_temperature - room.outdoor_temperature).mean()
    assert room.ventilation_heat.mean() == pytest.approx(1.204 * 1006.0 * 0.5 * 300.0 / 3600.0 * difference)
    assert room.air.carried_out.mean() * 86400.0 == pytest.approx(9.0)
    excess = ((room.air.vapour_pressure - room.outdoor_pressure) / (461.5 * room.air_temperature)).mean()
    assert excess == pytest.approx(9.0 / 24.0 / (0.65 * 300.0))


def test_the_wall_is_built_with_that_room_from_its_first_month_on(house):
    case = house(PLAIN + "persons = 2", more="[run]\nstart_month = 4\n")
    model = build_wall(case, case.variant("bare-wall-SW"))
    first = first_hour(case, model)
    assert first == (31 + 28 + 31) * 24
    np.testing.assert_array_equal(
        np.roll(model.internal.vapour_pressure, first), balanced_room_of(case).air.vapour_pressure
    )


def test_stated_rooms_have_no_balance(read_in_weather, house):
    assert balanced_room_of(read_in_weather(TEXT)) is None
    case = house(PLAIN + "persons = 2", climate="ASHRAE 160 intermediate")
    assert balanced_room_of(case) is None
    assert room_climate_of(case).air_temperature.min() >= 294.25
    assert not is_coupled(case)
    assert is_coupled(house(PLAIN + "persons = 2\ncoupled = true\nwall_area_m2 = 20"))


def test_the_report_lists_the_keys_of_the_balance_with_units(house):
    (rows,) = [
        found for heading, found in assumptions(house(PLAIN + "persons = 2").spec) if heading == "Room"
    ]
    values = {row.key: row.value for row in rows}
    assert values["volume_m3"] == "200 m³"
    assert values["air_changes_per_hour"] == "0.5 1/h"
    assert values["free_rise_K"] == "2.8 K"
    assert values["buffer_value_g_m2percent"] == "0.5 g/(m² %)"
    assert "balance" not in values
