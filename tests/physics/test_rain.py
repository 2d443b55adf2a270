"""Driving rain against the figures of ISO 15927-3 and hand calculation."""

import numpy as np
import pytest

from hygro.physics.rain import (
    OBSTRUCTION_STEPS,
    TERRAINS,
    WALL_FACTORS,
    airfield_index,
    driving_rain,
    facing_wind,
    hourly_airfield_rain,
    obstruction_factor,
    roughness_coefficient,
)

# C_R by terrain and height, worked out from K_R, z_0 and z_min of ISO 15927-3; printed to three decimals
ROUGHNESS = {
    "I": {2: 0.901, 4: 1.019, 6: 1.087, 8: 1.136, 10: 1.174, 16: 1.254, 20: 1.292, 30: 1.361},
    "II": {2: 0.833, 4: 0.833, 6: 0.910, 8: 0.964, 10: 1.007, 16: 1.096, 20: 1.138, 30: 1.215},
    "III": {2: 0.722, 8: 0.722, 10: 0.771, 16: 0.875, 20: 0.924, 30: 1.013},
    "IV": {2: 0.665, 16: 0.665, 20: 0.719, 30: 0.816},
}


@pytest.mark.parametrize(("terrain", "height"), [(t, z) for t, row in ROUGHNESS.items() for z in row])
def test_roughness_coefficient_table(terrain, height):
    assert roughness_coefficient(height, TERRAINS[terrain]) == pytest.approx(
        ROUGHNESS[terrain][height], abs=5e-4
    )


def test_rougher_land_slows_the_wind():
    at_ten = [roughness_coefficient(10.0, TERRAINS[name]) for name in ("I", "II", "III", "IV")]
    assert at_ten == sorted(at_ten, reverse=True)


def test_published_example_of_driving_rain():
    # 5 m/s and 2 mm/h: 2.057 mm/h with 2/9 and 8/9; the older 0.222 and 0.88 give 2.043, less than 1 % away
    assert driving_rain(5.0, 2.0) == pytest.approx(2.057, abs=5e-4)
    assert driving_rain(5.0, 2.0) == pytest.approx(2.043, rel=0.01)


def test_driving_rain_is_proportional_to_wind_and_none_without_rain():
    assert driving_rain(8.0, 1.5) == pytest.approx(2.0 * driving_rain(4.0, 1.5))
    assert driving_rain(8.0, 0.0) == 0.0
    assert driving_rain(0.0, 3.0) == 0.0


def test_facing_wind():
    directions = np.array([225.0, 285.0, 315.0, 45.0, np.nan, 360.0])
    np.testing.assert_allclose(facing_wind(directions, 225.0), [1.0, 0.5, 0.0, 0.0, 0.0, 0.0], atol=1e-12)
    # north is one direction, however it is written
    np.testing.assert_allclose(
        facing_wind(np.array([0.0, 360.0, 350.0]), 10.0), np.cos(np.radians([10, 10, 20]))
    )


def test_hourly_rain_on_the_plane():
    rain = hourly_airfield_rain(np.array([5.0, 5.0]), np.array([225.0, 285.0]), np.array([2.0, 2.0]), 225.0)
    np.testing.assert_allclose(rain, [2.0574, 1.0287], rtol=1e-4)


def test_index_is_a_yearly_mean():
    wind, rain = np.full(17520, 4.0), np.zeros(17520)
    rain[:10] = 1.0
    direction = np.full(17520, 180.0)
    # 10 h of 8/9 mm in two years
    assert airfield_index(wind, direction, rain, 180.0) == pytest.approx(40.0 / 9.0)


def test_opposite_walls_share_the_rain_without_counting_twice():
    rng = np.random.default_rng(1)
    wind, rain = rng.uniform(0, 10, 1000), rng.exponential(0.5, 1000)
    direction = rng.uniform(0, 360, 1000)
    both = hourly_airfield_rain(wind, direction, rain, 30.0) * hourly_airfield_rain(
        wind, direction, rain, 210.0
    )
    assert not both.any()


def test_obstruction_steps():
    distances = [1.0, 4.0, 7.9, 8.0, 20.0, 59.9, 60.0, 119.0, 120.0, 500.0]
    factors = [0.2, 0.2, 0.2, 0.3, 0.4, 0.6, 0.7, 0.9, 1.0, 1.0]
    assert [obstruction_factor(d) for d in distances] == factors
    assert [value for _, value in OBSTRUCTION_STEPS] == sorted(value for _, value in OBSTRUCTION_STEPS)


def test_wall_factors_of_the_draft_standard():
    assert WALL_FACTORS["two-storey gable"] == 0.4
    assert WALL_FACTORS["three-storey gable"] == 0.3
    assert WALL_FACTORS["two-storey eaves wall"] == 0.3
    assert WALL_FACTORS["three-storey eaves wall"] == 0.4
