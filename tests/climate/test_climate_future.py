"""Morphing after Belcher, Hacker and Powell 2005: shift and stretch by hand, humidity, provenance."""

import numpy as np
import pytest
from climate_years import ROOT

from hygro.climate import load_weather, weather_statistics
from hygro.climate.csv_writer import write_weather
from hygro.climate.future import Changes, load_changes, morphed, stretched_rain
from hygro.climate.sky import dew_point_pressure
from hygro.climate.spans import months_of
from hygro.errors import ClimateError

WHAT_IF = ROOT / "climate" / "what-if-warmer.toml"


def changes(**percent_or_shift):
    return Changes("test", "made up", {k: np.full(12, float(v)) for k, v in percent_or_shift.items()})


def test_nothing_changes_without_changes(coast):
    made = morphed(coast, Changes("none", "nobody"))
    for name in coast:
        np.testing.assert_allclose(made[name], coast[name], rtol=1e-12, err_msg=name)


def test_temperature_shifts_and_relative_humidity_stays(coast):
    made = morphed(coast, changes(air_temperature_K=2.5))
    np.testing.assert_allclose(made["air_temperature"] - coast["air_temperature"], 2.5)
    np.testing.assert_array_equal(made["relative_humidity"], coast["relative_humidity"])
    # the sky warms with the air below it
    assert 5.0 < float((made["longwave_sky"] - coast["longwave_sky"]).mean()) < 25.0


def test_each_month_gets_its_own_change(coast):
    values = np.arange(12.0) / 4.0
    made = morphed(coast, Changes("t", "s", {"air_temperature_K": values}))
    month = months_of(coast)
    for number in range(12):
        difference = (made["air_temperature"] - coast["air_temperature"]).to_numpy()[month == number]
        np.testing.assert_allclose(difference, values[number])


def test_daily_range_stretches_about_the_mean_of_the_day(inland):
    made = morphed(inland, changes(daily_range_K=1.0))
    before = inland["air_temperature"].to_numpy().reshape(-1, 24)
    after = made["air_temperature"].to_numpy().reshape(-1, 24)
    np.testing.assert_allclose(after.mean(axis=1), before.mean(axis=1))
    assert np.ptp(after, axis=1).mean() == pytest.approx(np.ptp(before, axis=1).mean() + 1.0)


def test_vapour_is_stretched_and_never_beyond_saturation(coast):
    made = morphed(coast, changes(air_temperature_K=0.0, vapour_pressure_percent=10.0))
    old = coast["relative_humidity"].to_numpy()
    np.testing.assert_allclose(made["relative_humidity"], np.minimum(1.1 * old, 1.0))
    assert made.attrs["saturated_hours"] == (1.1 * old > 1.0 + 1e-9).sum() > 100
    warm = morphed(coast, changes(air_temperature_K=3.0, vapour_pressure_percent=0.0))
    vapour = [
        d["relative_humidity"].to_numpy() * dew_point_pressure(d["air_temperature"].to_numpy())
        for d in (coast, warm)
    ]
    np.testing.assert_allclose(vapour[1], vapour[0])


def test_humidity_can_shift_by_points(coast):
    made = morphed(coast, changes(relative_humidity_points=-5.0))
    np.testing.assert_allclose(made["relative_humidity"], coast["relative_humidity"] - 0.05)


def test_wind_and_sun_stretch(coast):
    made = morphed(coast, changes(wind_speed_percent=10.0, solar_global_percent=-20.0))
    np.testing.assert_allclose(made["wind_speed"], 1.1 * coast["wind_speed"])
    for name in ("solar_global", "solar_direct_normal", "solar_diffuse"):
        np.testing.assert_allclose(made[name], 0.8 * coast[name])


def test_rain_by_hand():
    """Wet hours of 1 and 4 mm: sum times 1.2 gives 6 mm. With p = 1.5 they are 1 : 8, so 0.667 and 5.333."""
    rain = np.array([1.0, 4.0])
    np.testing.assert_allclose(stretched_rain(rain, 1.2, 1.2), [1.2, 4.8])
    high = np.quantile(rain, 0.99)
    made = np.array([6.0 / 9.0, 48.0 / 9.0])
    strong = 1.2 * 5.0 * high**1.5 / 9.0 / high  # what the strong hour becomes with p = 1.5
    np.testing.assert_allclose(stretched_rain(rain, 1.2, strong), made, rtol=1e-9)


def test_rain_sum_and_strong_hours_change_as_asked(coast):
    made = morphed(coast, changes(rain_percent=10.0, rain_intensity_percent=30.0))
    month = months_of(coast)
    before, after = coast["rain"].to_numpy(), made["rain"].to_numpy()
    np.testing.assert_allclose(np.bincount(month, after), 1.1 * np.bincount(month, before))
    for number in range(12):
        chosen = (month == number) & (before > 0.0)
        ratio = np.quantile(after[chosen], 0.99) / np.quantile(before[chosen], 0.99)
        assert ratio == pytest.approx(1.3, rel=0.02)  # 2 %: what falls below half a tenth is shared out
    assert not after[before == 0.0].any()
    assert (after >= 0.1).sum() < (before >= 0.1).sum()  # as a gauge counts them


def test_rain_that_no_power_gives_is_refused():
    with pytest.raises(ClimateError, match="cannot become so much stronger"):
        stretched_rain(np.full(100, 1.0), 1.0, 1.5)


def test_the_what_if_says_that_it_is_invented_and_morphs_a_year(coast, tmp_path):
    found = load_changes(WHAT_IF)
    assert "invented" in found.title
    assert "invented" in found.source
    made = morphed(coast, found)
    path = write_weather(made, tmp_path / "warmer.csv")
    back = load_weather(path)
    source = back.attrs["source"]
    assert source.startswith("MORPHED, not measured")
    assert coast.attrs["sha256"][:12] in source
    assert found.sha256[:12] in source
    assert "air_temperature_K 1.8, 1.8" in source
    before, after = weather_statistics(coast), weather_statistics(back)
    assert after["mean_air_temperature_C"] - before["mean_air_temperature_C"] == pytest.approx(2.07, abs=0.02)
    assert after["rain_mm"] < before["rain_mm"] * 1.05


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ('title = "a"\nsource = "b"\n', r"the table \[monthly\] is missing or empty"),
        ('title = "a"\nsource = "b"\n[monthly]\nrain_percent = [1, 2]\n', "no list of twelve months"),
        (
            'title = "a"\nsource = "b"\n[monthly]\nrain_percents = [1]\n',
            "rain_percents is not known.*did you mean rain_percent",
        ),
        ('title = "a"\n[monthly]\nrain_percent = [0,0,0,0,0,0,0,0,0,0,0,0]\n', "source is missing"),
        ("title = ", "the file is no TOML"),
        (
            'title = "a"\nsource = "b"\n[monthly]\nvapour_pressure_percent = [1]\n'
            "relative_humidity_points = [1]\n",
            "humidity is changed twice",
        ),
    ],
)
def test_what_is_refused(tmp_path, text, sentence):
    path = tmp_path / "changes.toml"
    path.write_text(text)
    with pytest.raises(ClimateError, match=sentence):
        load_changes(path)
