"""Years of a record: their figures by hand, the choice at the 10 % level, stitching and writing."""

import numpy as np
import pytest
import xarray as xr

from hygro.climate import SiteFactors, load_weather
from hygro.climate.csv_writer import WRITTEN, write_weather
from hygro.climate.years import YearFigures, chosen_year, ranked, stitched, year_figures
from hygro.errors import ClimateError

HOURS = 8760


def plain_record(years):
    """Each year as (rain in one hour, temperature, humidity), wind 4.5 m/s from the south-west."""
    values = {
        "air_temperature": np.repeat([year[1] for year in years], HOURS),
        "relative_humidity": np.repeat([year[2] for year in years], HOURS),
        "rain": np.zeros(HOURS * len(years)),
        "wind_speed": np.full(HOURS * len(years), 4.5),
        "wind_direction": np.full(HOURS * len(years), 225.0),
        "air_pressure": np.full(HOURS * len(years), 101325.0),
    }
    values["rain"][np.arange(len(years)) * HOURS + 100] = [year[0] for year in years]
    end = np.datetime64("2001-01-01T00", "h") + np.arange(1, HOURS * len(years) + 1)
    variables = {name: ("time", column.astype(float)) for name, column in values.items()}
    return xr.Dataset(
        variables, {"time": end.astype("datetime64[ns]")}, {"rain": "measured", "file": "plain.csv"}
    )


THREE = [(1.0, 10.0, 0.8), (8.0, 10.0, 0.9), (1.0, 20.0, 0.6)]


def test_figures_by_hand():
    """Saturation at 10 degC 1228 Pa, at 20 degC 2337 Pa; rain on the plane 2/9 * 4.5 * r^(8/9) = r^(8/9)."""
    site = SiteFactors(terrain="II", height=10.0, wall_factor=0.4)
    first, wet, dry = year_figures(plain_record(THREE), 225.0, site)
    assert [year.year for year in (first, wet, dry)] == [2001, 2002, 2003]
    assert [round(year.driving_rain, 3) for year in (first, wet, dry)] == [1.0, 6.35, 1.0]

    def ratio(pressure):
        return 0.622 * pressure / (101325.0 - pressure)

    assert first.drying == pytest.approx(8760 * (ratio(1228.0) - ratio(0.8 * 1228.0)), rel=2e-3)
    assert dry.drying == pytest.approx(8760 * (ratio(2337.0) - ratio(0.6 * 2337.0)), rel=2e-3)
    # wind at the wall 4.5 * 1.0067, h_c = 4 + 4 v = 22.1; 7.0e-9 kg/(m2 s Pa) for each W/(m2 K)
    assert first.evaporation == pytest.approx(8760 * 3600 * 22.1 * 7.0e-9 * 0.2 * 1228.0, rel=0.02)
    assert first.climatic_index == pytest.approx(1.0 * site.rain_factor / first.evaporation)
    # the wettest has most rain and least drying: root of 1 + 1; the dry one 0 and 0
    assert wet.moisture_index == pytest.approx(2.0**0.5)
    assert dry.moisture_index == pytest.approx(0.0)
    assert 0.0 < first.moisture_index < 1.0


def figures(values):
    return [YearFigures(2001 + k, k, v, v, 1.0, 1.0, 10.0, 0.8, v, v) for k, v in enumerate(values)]


def test_the_severe_year_comes_back_once_in_ten_years():
    assert chosen_year(figures(range(1, 11)), "severe").driving_rain == 10  # 1/11 is nearest to a tenth
    assert chosen_year(figures(range(1, 20)), "severe").driving_rain == 18  # 2/20 is a tenth
    assert chosen_year(figures(range(1, 30)), "severe").driving_rain == 27  # 3/30
    assert chosen_year(figures(range(1, 15)), "severe").driving_rain == 14
    assert chosen_year(figures(range(1, 16)), "severe").driving_rain == 14


def test_the_average_and_the_driest_year():
    years = figures([1.0, 2.0, 3.0, 14.0])  # mean 5
    assert chosen_year(years, "average").driving_rain == 3.0
    assert chosen_year(years, "driest").driving_rain == 1.0
    assert [year.driving_rain for year in ranked(years)] == [14.0, 3.0, 2.0, 1.0]


def test_methods_can_disagree():
    years = [
        YearFigures(2001, 0, 100.0, 1.0, 1.0, 1.0, 10.0, 0.8, 0.5, 0.3),
        YearFigures(2002, 1, 50.0, 1.0, 1.0, 1.0, 10.0, 0.8, 1.2, 0.2),
    ]
    assert chosen_year(years, "severe", "moisture index").year == 2002
    assert chosen_year(years, "severe", "driving rain").year == 2001
    assert chosen_year(years, "severe", "climatic index").year == 2001


def test_one_year_leaves_no_choice():
    with pytest.raises(ClimateError, match="nothing to choose from a record of one year; give a record"):
        chosen_year(figures([1.0]), "severe")


def test_stitching_puts_years_in_order_and_says_so():
    joined = stitched(plain_record(THREE), [1, 1, 0], "for a test")
    assert joined.sizes["time"] == 3 * HOURS
    assert joined["rain"].to_numpy()[[100, HOURS + 100, 2 * HOURS + 100]].tolist() == [8.0, 8.0, 1.0]
    assert str(joined["time"].to_numpy()[0])[:16] == "2001-01-01T01:00"
    assert joined.attrs["source"].startswith(
        "2002 2002 2001 of plain.csv (sha256 unknown), for a test, stamped"
    )
    with pytest.raises(
        ClimateError, match="does not hold these years, found '3', expected positions from 0 to 2"
    ):
        stitched(plain_record(THREE), [3])


def test_stitched_years_skip_leap_days_and_come_back_from_their_file(inland, tmp_path):
    """Five years reach over the leap year 2004; the file holds whole years of 8760 h all the same."""
    joined = stitched(inland, [0] * 5)
    path = write_weather(joined, tmp_path / "five.csv")
    back = load_weather(path)
    assert back.sizes["time"] == 5 * HOURS
    np.testing.assert_array_equal(back["time"], joined["time"])
    for variable, scale, digits in WRITTEN.values():
        wrong = np.abs(back[variable].to_numpy() - joined[variable].to_numpy())
        assert np.nanmax(wrong) <= 0.5001 * 10.0**-digits / scale, variable
    np.testing.assert_array_equal(np.isnan(back["wind_direction"]), np.isnan(joined["wind_direction"]))
    assert back.attrs["modelled"] == joined.attrs["modelled"]  # what was worked out once is still said
    assert back.attrs["source"] == joined.attrs["source"]
    assert [item.name for item in tmp_path.iterdir()] == ["five.csv"]


def test_only_csv_is_written(inland, tmp_path):
    with pytest.raises(ClimateError, match=r"weather is written as \.csv, found 'year\.epw'"):
        write_weather(inland, tmp_path / "year.epw")


def test_a_file_that_cannot_be_written_is_one_sentence(inland, tmp_path):
    (tmp_path / "taken").write_text("")
    with pytest.raises(ClimateError, match="the file cannot be written"):
        write_weather(inland, tmp_path / "taken" / "year.csv")
