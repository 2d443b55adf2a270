"""The figures of a site sheet: parts give the whole, sectors and months hold what belongs to them."""

import numpy as np
import pytest

from hygro.climate import SiteFactors, load_weather
from hygro.climate.overview import findings_of, overview
from hygro.physics.rain import driving_rain

SITE = SiteFactors(terrain="II")


@pytest.fixture(scope="module")
def shown(coast):
    return overview(coast, SITE)


def test_months_add_up_to_the_year(shown, coast):
    assert [month.month for month in shown.months] == list(range(1, 13))
    assert sum(month.rain for month in shown.months) == pytest.approx(float(coast["rain"].sum()))
    assert sum(month.wet_hours for month in shown.months) == shown.figures["wet_hours"]
    total = sum(month.solar_global for month in shown.months)
    assert total == pytest.approx(shown.figures["solar_global_kWh_m2"])
    january = coast.isel(time=slice(0, 744))  # begins at 0 UTC on 1 January
    assert shown.months[0].air_temperature == pytest.approx(float(january["air_temperature"].mean()))
    daily = january["air_temperature"].to_numpy().reshape(31, 24).mean(axis=1)
    assert shown.months[0].coldest_day == pytest.approx(daily.min())
    assert shown.months[0].warmest_day == pytest.approx(daily.max())


def test_an_hour_belongs_to_the_month_of_its_standard_time(invented, tmp_path):
    """At UTC-5 the last five hours of a month, by the clock there, are the first of the next in UTC."""
    from climate_years import GREENSBORO

    weather = load_weather(GREENSBORO)
    months = overview(weather, SITE).months
    january = weather["air_temperature"].to_numpy()[:744]  # starts at midnight by the clock there
    assert months[0].air_temperature == pytest.approx(january.mean())


def test_rose_holds_all_rain(shown, coast):
    assert len(shown.rose) == 16
    total = sum(sector.rain for sector in shown.rose) + shown.undirected
    assert total == pytest.approx(float(coast["rain"].sum()))
    through = driving_rain(coast["wind_speed"].to_numpy(), coast["rain"].to_numpy())
    known = np.isfinite(coast["wind_direction"].to_numpy())
    assert sum(sector.driving for sector in shown.rose) == pytest.approx(through[known].sum())


def test_north_reaches_over_the_turn(coast):
    """Directions from 348.75 to 11.25 degrees are north."""
    turned = coast.copy()
    turned["wind_direction"] = ("time", np.where(np.arange(8760) % 2, 350.0, 10.0))
    rose = overview(turned, SITE).rose
    assert rose[0].rain == pytest.approx(float(coast["rain"].sum()))
    assert sum(sector.rain for sector in rose[1:]) == 0.0
    assert rose[1].wind_speed == 0.0


def test_elevations_are_those_of_the_exposure_table(shown, coast):
    from hygro.climate.exposure import exposure_table

    assert shown.elevations == exposure_table(coast, SITE)


def test_a_record_without_rain_has_no_elevations(invented):
    shown = overview(load_weather(invented("exposed-coast"), rain="none"), SITE)
    assert (shown.rose, shown.elevations) == ((), ())


def test_several_years_are_means_of_a_year(coast):
    import xarray as xr

    later = coast.assign_coords(time=coast["time"] + np.timedelta64(365, "D"))
    both = xr.concat([coast, later], "time", combine_attrs="override")
    one, two = overview(coast, SITE), overview(both, SITE)
    assert two.years == pytest.approx(2.0)
    for first, second in zip(one.months, two.months, strict=True):
        assert second.rain == pytest.approx(first.rain)
        assert second.air_temperature == pytest.approx(first.air_temperature)
    assert two.rose[10].driving == pytest.approx(one.rose[10].driving)


def test_findings_come_with_the_dataset(shown, coast):
    assert shown.findings == findings_of(coast)
    assert any(finding.state == "modelled" for finding in shown.findings)
