"""Climate of an elevation: what the solver gets, held against hand calculation and against sense."""

import numpy as np
import pytest

from hygro.climate import SiteFactors, wall_climate
from hygro.climate.wall import solar_on_wall
from hygro.constants import STEFAN_BOLTZMANN
from hygro.errors import ClimateError
from hygro.physics.moist_air import saturation_pressure
from hygro.physics.rain import driving_rain

SITE = SiteFactors(terrain="III", wall_factor=0.4, height=10.0)


def south_west(weather, **options):
    options = {"elevation": 225.0, "site": SITE, "solar_absorptance": 0.6, "emissivity": 0.9, **options}
    return wall_climate(weather, **options)


def test_arrays(coast):
    wall = south_west(coast)
    for name in (
        "air_temperature",
        "vapour_pressure",
        "equivalent_temperature",
        "heat_coefficient",
        "vapour_coefficient",
        "solar",
        "longwave_gain",
        "driving_rain",
    ):
        values = getattr(wall, name)
        assert values.shape == (8760,)
        assert values.dtype == np.float64
        assert np.isfinite(values).all(), name
    assert wall.start == np.datetime64("2001-01-01T00:00")


def test_one_hour_by_hand(coast):
    """Each figure of one wet, windy hour by day, from the dataset's own values."""
    mask = (coast["rain"] > 1.0) & (coast["solar_global"] > 50.0) & (coast["wind_speed"] > 8.0)
    hour = int(np.argmax(mask.to_numpy()))
    now = coast.isel(time=hour)
    wall = south_west(coast)
    kelvin = float(now["air_temperature"]) + 273.15
    convection = 4.0 + 4.0 * float(now["wind_speed"]) * 0.22 * np.log(10.0 / 0.3)
    heat = convection + 4.0 * 0.9 * STEFAN_BOLTZMANN * kelvin**3
    assert wall.heat_coefficient[hour] == pytest.approx(heat)
    pressure = float(now["relative_humidity"]) * saturation_pressure(kelvin)
    assert wall.vapour_pressure[hour] == pytest.approx(pressure)
    gain = 0.9 * 0.5 * (float(now["longwave_sky"]) - STEFAN_BOLTZMANN * kelvin**4)
    assert wall.longwave_gain[hour] == pytest.approx(gain)
    equivalent = kelvin + (0.6 * wall.solar[hour] + gain) / heat
    assert wall.equivalent_temperature[hour] == pytest.approx(equivalent)
    cosine = max(np.cos(np.radians(float(now["wind_direction"]) - 225.0)), 0.0)
    free = driving_rain(float(now["wind_speed"]), float(now["rain"])) * cosine
    assert wall.driving_rain[hour] * 3600.0 == pytest.approx(free * 0.22 * np.log(10.0 / 0.3) * 0.4)
    assert wall.vapour_coefficient[hour] == pytest.approx(7.0e-9 * convection, rel=0.01)


def test_indices_and_hourly_rain_agree(coast):
    wall = south_west(coast)
    assert wall.driving_rain.sum() * 3600.0 == pytest.approx(wall.wall_index)
    assert wall.wall_index == pytest.approx(wall.annual_index * SITE.rain_factor)


def test_no_rain_on_the_wall_without_rain(coast):
    wall = south_west(coast)
    assert not wall.driving_rain[coast["rain"].to_numpy() == 0.0].any()
    assert not south_west(coast.assign(rain=0.0 * coast["rain"])).driving_rain.any()


def test_the_weather_side_gets_the_rain(coast):
    south_west_rain = south_west(coast).wall_index
    assert south_west_rain > 8.0 * south_west(coast, elevation=45.0).wall_index


def test_sun_warms_and_the_night_sky_cools(inland):
    wall = south_west(inland)
    difference = wall.equivalent_temperature - wall.air_temperature
    assert difference[wall.solar > 300.0].min() > 3.0
    clear_night = (inland["solar_global"].to_numpy() == 0.0) & (wall.longwave_gain < -30.0)
    assert clear_night.any()
    assert (difference[clear_night] < -1.0).all()


def test_a_white_wall_under_no_sky_is_at_air_temperature(inland):
    wall = south_west(inland, solar_absorptance=0.0, sky_view=0.0)
    np.testing.assert_allclose(wall.equivalent_temperature, wall.air_temperature)


def test_sheltered_walls_have_less_wind(inland):
    open_land = south_west(inland, site=SiteFactors(terrain="I"))
    town = south_west(inland, site=SiteFactors(terrain="IV"))
    assert (open_land.heat_coefficient >= town.heat_coefficient).all()
    assert open_land.vapour_coefficient.mean() > town.vapour_coefficient.mean()


def test_yearly_sun_by_elevation(inland):
    """On a free wall at 52 N with some 1000 kWh/m2 on the horizontal.

    Rules of thumb of the trade (no published source): a south wall gets 70 to 85 % of the horizontal, east
    and west 55 to 70 %, north 30 to 45 %, ground reflection included.
    """
    horizontal = float(inland["solar_global"].sum())
    share = {facing: solar_on_wall(inland, facing).sum() / horizontal for facing in (0.0, 90.0, 180.0, 270.0)}
    assert 0.30 < share[0.0] < 0.45
    assert 0.55 < share[90.0] < 0.70
    assert 0.70 < share[180.0] < 0.85
    assert 0.55 < share[270.0] < 0.70


def test_the_sun_stands_where_it_does_at_mid_hour(inland):
    """Direct sun alone, against pvlib's geometry at half past."""
    import pandas as pd
    import pvlib

    direct = inland.assign(solar_diffuse=0.0 * inland["rain"], solar_global=0.0 * inland["rain"])
    ours = solar_on_wall(direct, 90.0)
    middle = pd.DatetimeIndex(inland["time"].to_numpy(), tz="UTC") - pd.Timedelta("30min")
    sun = pvlib.solarposition.get_solarposition(middle, 52.0, 0.0)
    cosine = pvlib.irradiance.aoi_projection(90.0, 90.0, sun["zenith"], sun["azimuth"])
    expected = inland["solar_direct_normal"].to_numpy() * np.maximum(np.asarray(cosine), 0.0)
    np.testing.assert_allclose(ours, expected, atol=0.01)


def test_measured_sun_makes_no_spikes(measured):
    """No hour of two measured years puts more on a wall than a clear sky and bright ground can: 1150 W/m2.

    1361 W/m2 outside the atmosphere, at most 0.7 of it through clean air at the heights that strike a wall
    squarely, and some 200 W/m2 of sky and ground.
    """
    for name in ("vlissingen_coast_2023.csv", "arcen_sheltered_2023.csv"):
        for facing in (0.0, 90.0, 135.0, 180.0, 225.0, 270.0):
            assert solar_on_wall(measured(name), facing).max() < 1150.0


@pytest.mark.parametrize("name", ["solar_absorptance", "emissivity", "ground_reflectance", "sky_view"])
def test_shares_are_shares(inland, name):
    what = name.replace("_", " ")
    with pytest.raises(ClimateError, match=f"the {what} is out of range, found 60, expected 0 to 1"):
        south_west(inland, **{name: 60})
