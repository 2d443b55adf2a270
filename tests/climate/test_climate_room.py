"""Room climates against the tables of EN 15026 and ISO 13788."""

import numpy as np
import pytest

from hygro.climate import RoomSpec, room_climate
from hygro.climate.room import (
    CURVES,
    KINDS,
    class_excess,
    daily_mean,
    en_15026_humidity,
    en_15026_temperature,
)
from hygro.constants import GAS_CONSTANT_VAPOUR
from hygro.errors import ClimateError
from hygro.physics.moist_air import saturation_pressure


def humidity(room):
    return room.vapour_pressure / saturation_pressure(room.air_temperature)


def test_temperature_of_en_15026():
    outdoor = np.array([-20.0, 0.0, 10.0, 15.0, 20.0, 30.0])
    np.testing.assert_allclose(en_15026_temperature(outdoor), [20, 20, 20, 22.5, 25, 25])


@pytest.mark.parametrize(
    ("kind", "values"), [("EN 15026 normal", (30, 40, 60)), ("EN 15026 high", (40, 50, 70))]
)
def test_humidity_of_en_15026(kind, values):
    least, at_zero, most = values
    outdoor = np.array([-25.0, -10.0, 0.0, 20.0, 35.0])
    expected = np.array([least, least, at_zero, most, most]) / 100.0
    np.testing.assert_allclose(en_15026_humidity(outdoor, CURVES[kind]), expected)


def test_saturation_pressure_of_the_room():
    # EN ISO 13788:2012 Annex E at 20 degC: 2337 Pa
    assert saturation_pressure(293.15) == pytest.approx(2337.0, abs=0.1)


# upper limits in g/m3 read from the figure of ISO 13788:2012 at 5, 10 and 15 degC, to the tenth: hence 0.06
LINES = {4: (6.3, 4.5, 2.8), 3: (4.8, 3.5, 2.3), 2: (3.3, 2.5, 1.8), 1: (1.8, 1.5, 1.3)}


@pytest.mark.parametrize("number", LINES)
def test_classes_of_iso_13788(number):
    outdoor = np.array([5.0, 10.0, 15.0])
    excess = class_excess(number, outdoor, np.full(3, 293.15)) / (GAS_CONSTANT_VAPOUR * 293.15) * 1e3
    np.testing.assert_allclose(excess, LINES[number], atol=0.06)


def test_class_ends():
    outdoor = np.array([-10.0, 0.0, 20.0, 30.0])
    excess = class_excess(3, outdoor, np.full(4, 283.15)) / (GAS_CONSTANT_VAPOUR * 283.15) * 1e3
    np.testing.assert_allclose(excess, [6.0, 6.0, 1.0, 1.0])
    # at 10 degC that is 784 Pa, and 1 g/m3 at 20 degC is 135 Pa
    assert class_excess(3, np.array([0.0]), np.array([283.15]))[0] == pytest.approx(784.0, abs=0.5)
    assert class_excess(3, np.array([20.0]), np.array([293.15]))[0] == pytest.approx(135.0, abs=0.5)


def test_higher_classes_are_damper():
    for outdoor in (-5.0, 5.0, 15.0):
        excess = [class_excess(n, np.array([outdoor]), np.array([293.15]))[0] for n in range(1, 6)]
        assert excess == sorted(excess)
        assert len(set(excess)) == 5


def test_daily_mean():
    values = np.concatenate((np.arange(24.0), np.full(24, 3.0)))
    np.testing.assert_array_equal(daily_mean(values), np.repeat([11.5, 3.0], 24))


def test_curves_follow_daily_means(inland):
    room = room_climate(RoomSpec("EN 15026 normal"), inland)
    celsius = daily_mean(inland["air_temperature"].to_numpy())
    np.testing.assert_allclose(room.air_temperature - 273.15, en_15026_temperature(celsius))
    np.testing.assert_allclose(humidity(room), en_15026_humidity(celsius, 0.3))
    assert np.ptp(humidity(room).reshape(-1, 24), axis=1).max() < 1e-12


def test_high_is_a_tenth_above_normal(inland):
    normal, high = (room_climate(RoomSpec(kind), inland) for kind in ("EN 15026 normal", "EN 15026 high"))
    np.testing.assert_allclose(humidity(high) - humidity(normal), 0.1)


def test_class_adds_to_the_outdoor_air(inland):
    room = room_climate(RoomSpec("ISO 13788 class 2", temperature=21.0), inland)
    celsius = inland["air_temperature"].to_numpy()
    outdoor = inland["relative_humidity"].to_numpy() * saturation_pressure(celsius + 273.15)
    excess = room.vapour_pressure - daily_mean(outdoor)
    density = excess / (GAS_CONSTANT_VAPOUR * 294.15) * 1e3
    below = room.vapour_pressure < saturation_pressure(room.air_temperature)
    assert below.mean() > 0.99
    np.testing.assert_allclose(
        density[below], (4.0 - 3.0 * np.clip(daily_mean(celsius), 0, 20) / 20.0)[below]
    )
    assert (room.air_temperature == 294.15).all()


def test_a_cool_room_is_at_most_saturated(inland):
    """At 15 degC all year, air of a summer's day with a class's excess holds more than the room can."""
    room = room_climate(RoomSpec("ISO 13788 class 4", temperature=15.0), inland)
    assert humidity(room).max() == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("number", range(1, 6))
def test_class_rooms_are_never_oversaturated(coast, number):
    room = room_climate(RoomSpec(f"ISO 13788 class {number}"), coast)
    assert humidity(room).max() <= 1.0 + 1e-12
    assert humidity(room).min() > 0.2


def test_constant(inland):
    room = room_climate(RoomSpec("constant", temperature=20.0, relative_humidity=0.5), inland)
    assert room.air_temperature.shape == (8760,)
    assert (room.air_temperature == 293.15).all()
    np.testing.assert_allclose(room.vapour_pressure, 0.5 * 2336.95, rtol=1e-5)


def test_series(inland, tmp_path):
    lines = ["# a logged room", "hour_ending_utc,air_temperature_C,relative_humidity_percent"]
    lines += [f"{str(t)[:16]}Z,{20 + i % 3},{40 + i % 5}" for i, t in enumerate(inland["time"].to_numpy())]
    path = tmp_path / "room.csv"
    path.write_text("\n".join(lines) + "\n")
    room = room_climate(RoomSpec("series", path=path), inland)
    np.testing.assert_allclose(room.air_temperature[:4] - 273.15, [20, 21, 22, 20])
    np.testing.assert_allclose(humidity(room)[:6], [0.40, 0.41, 0.42, 0.43, 0.44, 0.40])
    path.write_text("\n".join(lines[:-5]) + "\n")
    with pytest.raises(
        ClimateError, match=r"room.csv: the times do not match .*found '5 of 8760 hours missing"
    ):
        room_climate(RoomSpec("series", path=path), inland)
    path.write_text("\n".join([*lines[:50], lines[50].rsplit(",", 1)[0] + ",140", *lines[51:]]) + "\n")
    with pytest.raises(ClimateError, match=r":51: relative humidity is missing or impossible, found '140'"):
        room_climate(RoomSpec("series", path=path), inland)


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        (
            {"kind": "EN 15026"},
            "the room climate is not known, found 'EN 15026', expected one of EN 15026 normal",
        ),
        ({"kind": "constant", "temperature": 20.0}, "room climate 'constant' is not given as it should be"),
        ({"kind": "series"}, "room climate 'series' is not given .*expected fill_hours, path"),
        ({"kind": "EN 15026 high", "temperature": 20.0}, "found 'temperature', expected nothing else"),
        (
            {"kind": "constant", "temperature": 20.0, "relative_humidity": 50.0},
            "out of range, found 50.0, expected 0 to 1",
        ),
        ({"kind": "ISO 13788 class 3", "temperature": 293.15}, "temperature of the room is out of range"),
    ],
)
def test_impossible_rooms(options, sentence):
    with pytest.raises(ClimateError, match=sentence):
        RoomSpec(**options)


def test_every_kind_is_named_by_its_standard_or_in_plain_words():
    assert len(KINDS) == len(set(KINDS)) == 12
