"""Sun on a wall against pvlib and against symmetry."""

import numpy as np
import pandas as pd
import pvlib
import pytest

from hygro.physics.solar import (
    LEAST_ZENITH_COSINE,
    clean_sky_direct,
    clear_sky_global,
    cloud_from_transmission,
    cloud_transmission,
    incidence_cosine,
    wall_irradiance,
)


@pytest.fixture(scope="module")
def year():
    """A cloudless year at 52 N by pvlib: time, sun, irradiance."""
    times = pd.date_range("2001-01-01 00:30", periods=8760, freq="h", tz="UTC")
    sun = pvlib.solarposition.get_solarposition(times, 52.0, 0.0, method="nrel_numpy")
    mass = pvlib.atmosphere.get_relative_airmass(sun["apparent_zenith"])
    sky = pvlib.clearsky.ineichen(sun["apparent_zenith"], mass, 3.0)
    extra = np.asarray(pvlib.irradiance.get_extra_radiation(times.day_of_year.to_numpy()), dtype=float)
    return {
        "zenith": sun["zenith"].to_numpy(),
        "azimuth": sun["azimuth"].to_numpy(),
        "dni": np.nan_to_num(sky["dni"].to_numpy()),
        "dhi": np.nan_to_num(sky["dhi"].to_numpy()),
        "ghi": np.nan_to_num(sky["ghi"].to_numpy()),
        "extra": extra,
        "times": times,
    }


def on_wall(year, facing, **options):
    options = {"sky_view": 0.5, "ground_reflectance": 0.2, **options}
    incidence = incidence_cosine(year["zenith"], year["azimuth"], facing)
    return wall_irradiance(
        year["dni"], year["dhi"], year["ghi"], year["extra"], year["zenith"], incidence, **options
    )


@pytest.mark.parametrize("facing", [0.0, 90.0, 180.0, 225.0, 300.0])
def test_against_pvlib(year, facing):
    total = pvlib.irradiance.get_total_irradiance(
        90.0,
        facing,
        year["zenith"],
        year["azimuth"],
        year["dni"],
        year["ghi"],
        year["dhi"],
        dni_extra=year["extra"],
        albedo=0.2,
        model="haydavies",
    )["poa_global"]
    ours = on_wall(year, facing)
    # the two bound the ratio of a low sun differently, so hours are compared where neither does
    high = np.cos(np.radians(year["zenith"])) > LEAST_ZENITH_COSINE
    np.testing.assert_allclose(ours[high], np.asarray(total)[high], atol=1e-6)
    # over the year that difference is below 1 %
    assert ours.sum() == pytest.approx(float(np.nansum(total)), rel=0.01)


def test_no_sun_at_night(year):
    night = year["zenith"] > 90.0
    assert night.sum() > 4000
    assert not incidence_cosine(year["zenith"], year["azimuth"], 180.0)[night].any()
    assert on_wall(year, 180.0)[year["ghi"] == 0.0].max() == 0.0


def test_east_and_west_mirror_each_other_about_noon_at_the_equinox():
    # the sun at equal heights before and after noon, as the geometry has it with declination 0
    hour_angle = np.radians(np.array([-60.0, -30.0, -5.0, 5.0, 30.0, 60.0]))
    latitude = np.radians(52.0)
    zenith = np.degrees(np.arccos(np.cos(latitude) * np.cos(hour_angle)))
    azimuth = np.degrees(np.arctan2(np.sin(hour_angle), np.sin(latitude) * np.cos(hour_angle))) + 180.0
    east = incidence_cosine(zenith, azimuth, 90.0)
    west = incidence_cosine(zenith, azimuth, 270.0)
    np.testing.assert_allclose(east, west[::-1], atol=1e-12)
    # due east: the cosine is sin(hour angle) at declination 0
    np.testing.assert_allclose(east[:3], -np.sin(hour_angle[:3]), atol=1e-12)


def test_south_gets_most_and_north_least(year):
    sums = {facing: on_wall(year, facing).sum() for facing in (0.0, 90.0, 180.0, 270.0)}
    assert sums[0.0] == min(sums.values())
    assert sums[180.0] == max(sums.values())
    assert sums[90.0] == pytest.approx(
        sums[270.0], rel=0.02
    )  # a clear year at the meridian, but for solar time


def test_low_sun_makes_no_spike():
    near = np.array([89.9])
    value = wall_irradiance(
        np.array([50.0]),
        np.array([30.0]),
        np.array([30.1]),
        np.array([1361.0]),
        near,
        incidence_cosine(near, np.array([90.0]), 90.0),
        sky_view=0.5,
        ground_reflectance=0.2,
    )
    assert value[0] < 50.0 + 30.0 + 30.0


def test_ground_reflects_onto_the_part_that_sees_no_sky(year):
    dark, bright = on_wall(year, 0.0, ground_reflectance=0.0), on_wall(year, 0.0, ground_reflectance=0.4)
    np.testing.assert_allclose(bright - dark, 0.2 * year["ghi"], atol=1e-9)


def test_kasten_and_czeplak():
    assert clear_sky_global(0.0) == pytest.approx(880.0)
    assert clear_sky_global(95.0) == 0.0
    assert cloud_transmission(0.0) == 1.0
    assert cloud_transmission(10.0) == pytest.approx(0.25)
    # half cloud takes 7 % away
    assert cloud_transmission(5.0) == pytest.approx(0.929, abs=5e-4)


def test_cloud_and_transmission_are_inverse_and_bounded():
    cloud = np.linspace(0.0, 10.0, 21)
    np.testing.assert_allclose(cloud_from_transmission(cloud_transmission(cloud)), cloud, atol=1e-9)
    np.testing.assert_allclose(cloud_from_transmission(np.array([1.3, 0.1])), [0.0, 10.0])


def test_clean_sky_is_above_a_clear_one_and_below_space(year):
    bound = clean_sky_direct(year["extra"], year["zenith"])
    assert (bound <= year["extra"]).all()
    assert not bound[year["zenith"] > 90.0].any()
    high = year["zenith"] < 85.0
    # pvlib's clear sky at a Linke turbidity of 3 is hazier than the bound's 2
    assert (bound[high] > year["dni"][high]).all()
