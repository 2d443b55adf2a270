"""Hours made from monthly normals: they meet the normals, repeat, and are like measured years."""

from dataclasses import replace

import numpy as np
import pytest
from climate_years import ROOT

from hygro.climate import SiteFactors, load_weather, weather_statistics
from hygro.climate.calibration import year_course
from hygro.climate.exposure import exposure_table
from hygro.climate.normals import load_normals, normals_of
from hygro.climate.stochastic import generated_hours, write_generated
from hygro.errors import ClimateError

YEARS = 20
FEW = 10
COAST = "vlissingen_coast_2023.csv"
VALLEY = "arcen_sheltered_2023.csv"


@pytest.fixture(scope="module")
def made(coast, tmp_path_factory):
    """Return twenty years from the normals of the invented coast."""
    path = tmp_path_factory.mktemp("made") / "made.csv"
    return load_weather(write_generated(normals_of(coast), path, YEARS, 3))


def test_long_runs_meet_the_normals(coast, made):
    """Tolerances: three times what means of twenty years scatter by.

    Daily means have a memory of four days and a deviation of 3.2 K: a month scatters by 1.6 K, twenty by 0.4.
    Rain of a month scatters by half its mean: twenty by a ninth; the sum of twelve by a thirtieth.
    """
    wanted, found = normals_of(coast), normals_of(made)
    np.testing.assert_allclose(found.air_temperature, wanted.air_temperature, atol=1.2)
    assert found.air_temperature.mean() == pytest.approx(wanted.air_temperature.mean(), abs=0.3)
    np.testing.assert_allclose(found.daily_range, wanted.daily_range, atol=0.3)
    np.testing.assert_allclose(found.relative_humidity, wanted.relative_humidity, atol=0.015)
    np.testing.assert_allclose(found.wind_speed, wanted.wind_speed, rtol=0.1)
    np.testing.assert_allclose(found.rain, wanted.rain, rtol=0.35)
    assert found.rain.sum() == pytest.approx(wanted.rain.sum(), rel=0.09)
    assert found.rain_days.sum() == pytest.approx(wanted.rain_days.sum(), rel=0.09)
    np.testing.assert_allclose(found.solar_global, wanted.solar_global, rtol=0.06)


def test_wet_hours_are_cloudy_windy_humid_and_from_their_own_quarter(made):
    wet = made["rain"].to_numpy() > 0.0
    assert made["wind_speed"].to_numpy()[wet].mean() > 1.2 * made["wind_speed"].to_numpy()[~wet].mean()
    assert made["relative_humidity"].to_numpy()[wet].min() >= 0.85
    assert (
        made["relative_humidity"].to_numpy()[wet].mean()
        > made["relative_humidity"].to_numpy()[~wet].mean() + 0.05
    )
    noon = (made["time"].to_numpy().astype("datetime64[h]").astype(int) % 24) == 13
    sun = made["solar_global"].to_numpy()
    assert sun[wet & noon].mean() < 0.6 * sun[~wet & noon].mean()


def test_roses_are_those_of_the_normals(coast, made):
    wanted, found = normals_of(coast, 8), normals_of(made, 8)
    np.testing.assert_allclose(found.wet_rose, wanted.wet_rose, atol=0.04)
    np.testing.assert_allclose(found.dry_rose, wanted.dry_rose, atol=0.04)


def test_the_same_seed_gives_the_same_file_and_another_another(coast, tmp_path):
    normals = normals_of(coast)
    one, two, three = (
        write_generated(normals, tmp_path / f"{k}.csv", 1, seed).read_bytes()
        for k, seed in enumerate((5, 5, 6))
    )
    assert one == two
    assert one != three
    assert b"GENERATED from monthly normals" in one


def test_years_differ_as_years_do(made):
    yearly = made["rain"].to_numpy().reshape(YEARS, -1).sum(axis=1)
    assert 0.05 < yearly.std() / yearly.mean() < 0.3


def test_leap_days_do_not_exist(made):
    assert made.sizes["time"] == YEARS * 8760
    assert made.attrs["leap_policy"] == "no 29 February in the record"


def test_sun_hours_stand_for_global_sun(coast):
    """Angstrom and Prescott: no sunshine leaves a quarter of the sun outside the atmosphere."""
    normals = normals_of(coast)
    sunny = np.array([60.0, 80, 130, 180, 220, 230, 240, 210, 160, 110, 70, 50])
    dull = generated_hours(replace(normals, solar_global=None, sun_hours=0.3 * sunny), 1)
    bright = generated_hours(replace(normals, solar_global=None, sun_hours=sunny), 1)
    assert bright["solar_global_W_m2"].sum() > 1.4 * dull["solar_global_W_m2"].sum()
    assert (bright["cloud_okta"].mean()) < dull["cloud_okta"].mean()


def test_a_dry_month_has_no_rain(coast):
    normals = normals_of(coast)
    rain, days = normals.rain.copy(), normals.rain_days.copy()
    rain[6] = days[6] = 0.0
    hours = generated_hours(replace(normals, rain=rain, rain_days=days), 1)["rain_mm"]
    assert not hours[181 * 24 : 212 * 24].any()
    assert hours[: 181 * 24].any()


def test_a_smooth_course_keeps_the_monthly_means():
    monthly = np.array([4.0, 4, 6, 9, 12, 15, 17, 17, 14, 11, 7, 5])
    course = year_course(monthly)
    month = (np.datetime64("2001-01-01", "h") + np.arange(8760)).astype("datetime64[M]").astype(int) % 12
    means = [course[month == number].mean() for number in range(12)]
    np.testing.assert_allclose(means, monthly, atol=0.01)
    assert np.abs(np.diff(course)).max() < 0.02


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"rain_days": np.full(12, 30.0)}, "the rain days of month 1 do not go with its rain"),
        ({"solar_global": np.full(12, 340.0)}, "the sun of month 1 does not go with the other normals"),
        ({"relative_humidity": np.full(12, 0.2)}, "the humidity of month 1 does not go with"),
    ],
)
def test_normals_that_contradict_each_other(coast, change, sentence):
    with pytest.raises(ClimateError, match=sentence):
        generated_hours(replace(normals_of(coast), **change), 1)


@pytest.mark.parametrize("years", [0, 101])
def test_impossible_numbers_of_years(coast, years):
    with pytest.raises(ClimateError, match="the number of years is impossible"):
        generated_hours(normals_of(coast), years)


def test_a_table_alone_is_enough(tmp_path):
    from test_climate_normals import TEXT

    path = tmp_path / "place.toml"
    path.write_text(TEXT)
    weather = load_weather(write_generated(load_normals(path), tmp_path / "made.csv", 2))
    figures = weather_statistics(weather)
    assert figures["mean_air_temperature_C"] == pytest.approx(10.1, abs=1.5)
    assert figures["airfield_index_SW_l_m2"] > 3.0 * figures["airfield_index_NE_l_m2"]


def test_persistence_of_a_year_that_was_not_in_view(tmp_path):
    """Greensboro: few wet hours, and heavy ones.

    0.06: two standard deviations of a share of 0.56 counted on 358 hours. Wet hours: known to be 15 %
    too many (docs/site.md), and five years scatter by as much again.
    """
    weather = load_weather(ROOT / "climate" / "greensboro-typical.csv")
    made = load_weather(write_generated(normals_of(weather), tmp_path / "made.csv", 5, 3))
    assert persistence(made) == pytest.approx(persistence(weather), abs=0.06)
    assert weather_statistics(made)["wet_hours"] == pytest.approx(
        weather_statistics(weather)["wet_hours"], rel=0.3
    )


def persistence(weather):
    wet = weather["rain"].to_numpy() >= 0.1
    return (wet[1:] & wet[:-1]).sum() / wet[:-1].sum()


@pytest.fixture(scope="module", params=[COAST, VALLEY])
def pair(request, measured, tmp_path_factory):
    """Return a measured year and ten made from its normals."""
    real = measured(request.param)
    path = tmp_path_factory.mktemp("pair") / "made.csv"
    return real, load_weather(write_generated(normals_of(real), path, FEW, 3))


def test_persistence_and_strength_of_wet_hours_come_out_as_measured(pair):
    """None of them is in the normals; both years were in view when two memories of the generator were set.

    Tolerances: persistence is met to 0.02 (0.03 allowed); the strong hour of a single year,
    the twelfth strongest of some 1200, scatters by about a tenth (a quarter allowed).
    """
    real, made = pair
    assert persistence(made) == pytest.approx(persistence(real), abs=0.03)
    wet = [year["rain"].to_numpy() >= 0.1 for year in pair]
    strong = [
        np.quantile(year["rain"].to_numpy()[hours], 0.99) for year, hours in zip(pair, wet, strict=True)
    ]
    assert strong[1] == pytest.approx(strong[0], rel=0.25)
    humid = [
        year["relative_humidity"].to_numpy()[hours].mean() for year, hours in zip(pair, wet, strict=True)
    ]
    assert humid[1] == pytest.approx(humid[0], abs=0.03)


def test_a_measured_year_is_a_year_among_the_ten(pair):
    """Wet hours and rain on the weather side: one draw of 11 lies outside all others in 2 of 11 cases."""
    real, made = pair
    before = weather_statistics(real)
    years = [weather_statistics(made.isel(time=slice(8760 * k, 8760 * (k + 1)))) for k in range(FEW)]
    for name in ("wet_hours", "airfield_index_S_l_m2", "airfield_index_SW_l_m2", "airfield_index_W_l_m2"):
        values = [figures[name] for figures in years]
        assert min(values) < before[name] < max(values), name


def test_extremes_of_a_measured_year_lie_within_those_of_ten(pair):
    real, made = pair
    assert float(made["air_temperature"].min()) < float(real["air_temperature"].min()) + 0.5
    assert float(made["air_temperature"].max()) > float(real["air_temperature"].max()) - 2.0
    coldest = made["air_temperature"].to_numpy().reshape(FEW, -1).min(axis=1)
    assert np.median(coldest) == pytest.approx(float(real["air_temperature"].min()), abs=4.0)


def test_the_weather_side_is_the_same(pair):
    real, made = pair
    order = [
        [row.name for row in sorted(exposure_table(w, SiteFactors()), key=lambda row: -row.airfield_index)][
            :3
        ]
        for w in pair
    ]
    assert set(order[0]) == set(order[1]) == {"S", "SW", "W"}
