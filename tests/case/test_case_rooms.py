"""[room] and [room.balance]: what goes together, and what each mistake is told."""

from __future__ import annotations

import pytest
from small_case import TEXT

from hygro.case import parse_case
from hygro.errors import CaseError

ROOM = '[room]\nclimate = "EN 15026 normal"\n'
SIZE = "volume_m3 = 200\n"
AIR = "air_changes_per_hour = 0.5\n"
WATER = "persons = 3\n"


def balance(keys, climate="balance"):
    return f'[room]\nclimate = "{climate}"\n[room.balance]\n{keys}'


@pytest.fixture
def sentence(refusal):
    """Return a function that gives the sentence which refuses keys of [room.balance], from line 7 on."""
    return lambda keys, climate="balance": refusal(ROOM, balance(keys, climate))


def test_a_room_by_its_volume(read):
    section = read(TEXT.replace(ROOM, balance(SIZE + AIR + WATER))).spec.room.balance
    assert section.volume == 200.0
    assert section.buffer_area == 200.0
    assert section.air_changes_per_hour == 0.5
    assert section.habits == "moist"


def test_a_room_by_its_floor_with_a_coupled_wall(read):
    keys = (
        "floor_area_m2 = 80\nheight_m = 2.7\n"
        + AIR
        + "moisture_kg_per_day = 8\ncoupled = true\nwall_area_m2 = 40\n"
    )
    section = read(TEXT.replace(ROOM, balance(keys))).spec.room.balance
    assert section.volume == pytest.approx(216.0)
    assert section.buffer_area == pytest.approx(176.0)


def test_schedules_are_a_number_or_a_day_of_them(read):
    day = [0.3] * 6 + [0.6] * 18
    section = read(
        TEXT.replace(ROOM, balance(SIZE + f"air_changes_per_hour = {day}\n" + WATER))
    ).spec.room.balance
    assert section.air_changes_per_hour == tuple(day)


def test_a_case_with_all_defaults_filled_in_is_the_same_case(read, own_materials, own_films, tmp_path):
    import tomllib

    case = read(TEXT.replace(ROOM, balance(SIZE + AIR + WATER)))
    again = case.spec.model_validate(tomllib.loads(case.source_text) | {"room": case.resolved()["room"]})
    assert again.room == case.spec.room
    assert "storeys" in case.resolved()["room"]["balance"]


def test_what_is_worked_out_changes_the_hash(tmp_path, own_materials, own_films):
    """Only where the weather is there: a hash covers the files that a case names."""
    (tmp_path / "weather.csv").write_text("hour_ending_utc\n")
    digests = {
        parse_case(
            TEXT.replace(ROOM, balance(SIZE + f"air_changes_per_hour = {n}\n" + WATER)),
            tmp_path / "wall.toml",
            materials=own_materials,
            films=own_films,
        ).digest()
        for n in (0.2, 0.5)
    }
    assert len(digests) == 2


WRONG = [
    (
        AIR + WATER,
        "9: [room.balance] does not give the size of the room, expected one of volume_m3, floor_area",
    ),
    (
        SIZE + AIR,
        "9: [room.balance] does not give the moisture production, expected one of moisture_kg_per_day",
    ),
    (SIZE + WATER, "9: [room.balance] lacks the key 'air_changes_per_hour' (Air exchange by vents"),
    (SIZE + "floor_area_m2 = 80\n" + AIR + WATER, "11: the size of the room is given twice"),
    (SIZE + AIR + WATER + "moisture_kg_per_day = 9\n", "12: the moisture production is given twice"),
    (SIZE + AIR + WATER + "height_m = 2.7\n", "13: the key 'height_m' means nothing without 'floor_area_m2'"),
    (
        SIZE + AIR + WATER + "storeys = 3\n",
        "13: the key 'storeys' means nothing without 'leakage_n50_per_hour'",
    ),
    (SIZE + AIR + 'bedrooms = 3\nhabits = "dry"\n', "13: the key 'habits' means nothing without 'persons'"),
    (
        SIZE + AIR + WATER + "infiltration_per_hour = 0.1\nleakage_n50_per_hour = 8\n",
        "14: the leakage of the room is given twice",
    ),
    (
        SIZE + "air_change_per_hour = 0.5\n" + WATER,
        "11: unknown key 'air_change_per_hour' in [room.balance]; did you",
    ),
    (
        SIZE + AIR + WATER + "volume_l = 5\n",
        "13: unknown key 'volume_l' in [room.balance]; did you mean 'volume_m3'",
    ),
    (
        SIZE + 'air_changes_per_hour = "0.5"\n' + WATER,
        "11: 'air_changes_per_hour' in [room.balance] is neither a number",
    ),
    (
        SIZE + "air_changes_per_hour = [0.5, 0.6]\n" + WATER,
        "11: 'air_changes_per_hour' in [room.balance] is neither",
    ),
    (
        SIZE + "air_changes_per_hour = 60\n" + WATER,
        "11: 'air_changes_per_hour' in [room.balance] is out of range with",
    ),
    (
        SIZE + "air_changes_per_hour = true\n" + WATER,
        "11: 'air_changes_per_hour' in [room.balance] is neither",
    ),
    (SIZE + "air_changes_per_hour = 0.0\n" + WATER, "11: the room has no exchange of air at all"),
    (SIZE + AIR + 'persons = 3\nhabits = "damp"\n', "13: 'habits' in [room.balance] is none of the choices"),
    (
        SIZE + AIR + 'persons = 3\nhabits = "wet"\ndrying_loads_per_week = 2\n',
        "14: washing dried indoors is counted already where habits are wet",
    ),
    (SIZE + AIR + "persons = 8\n", "12: 'persons' in [room.balance] is out of range, found 8"),
    (SIZE + AIR + WATER + "moisture_shares = 3\n", "13: 'moisture_shares' in [room.balance] is no list"),
    (SIZE + AIR + WATER + "coupled = true\n", "13: a wall coupled to its room lacks the key 'wall_area_m2'"),
    (SIZE + AIR + WATER + "wall_area_m2 = 9\n", "13: the key 'wall_area_m2' means nothing without coupled"),
    (
        SIZE + AIR + WATER + "coupled = true\nwall_area_m2 = 9\n[run]\nhours = 24\n",
        "16: room and wall are coupled over whole years",
    ),
]


@pytest.mark.parametrize(("keys", "expected"), WRONG, ids=[str(i) for i in range(len(WRONG))])
def test_each_mistake_gets_its_sentence(sentence, keys, expected):
    assert sentence(keys).startswith(expected)


def test_the_intermediate_method_takes_no_storage(sentence):
    keys = SIZE + AIR + WATER + "buffer_value_g_m2percent = 1.0\n"
    assert sentence(keys, "ASHRAE 160 intermediate").startswith(
        "13: the key 'buffer_value_g_m2percent' means nothing for the room climate 'ASHRAE 160 intermediate'"
    )


def test_a_balance_needs_its_table_and_others_take_none(refusal):
    assert refusal(ROOM, '[room]\nclimate = "balance"\n').startswith(
        "7: [room] with climate 'balance' lacks the table [room.balance]"
    )
    text = ROOM + "[room.balance]\n" + SIZE + AIR + WATER
    assert refusal(ROOM, text).startswith(
        "9: the key 'balance' means nothing for the room climate 'EN 15026 normal'"
    )


def test_keys_of_a_series(refusal):
    assert refusal(ROOM, ROOM + "fill_hours = 3\n").startswith("9: the key 'fill_hours' means nothing")
    series = '[room]\nclimate = "series"\nfile = "weather.csv"\n'
    twice = series + 'utc_offset_h = 1\ntime_zone = "Europe/London"\n'
    assert refusal(ROOM, twice).startswith("11: the time of the series is given twice")
    assert refusal(ROOM, series + "fill_hours = 30\n").startswith(
        "10: 'fill_hours' in [room] is out of range"
    )


def test_a_mistake_is_a_case_error(read):
    with pytest.raises(CaseError):
        read(TEXT.replace(ROOM, balance("")))
