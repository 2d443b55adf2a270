"""Gridded reanalysis: real values in the documented layout, sums taken apart, cells, files joined."""

import csv
import zipfile

import numpy as np
import pytest
from climate_layouts import gridded, running
from climate_years import SHARED

from hygro.climate import load_weather
from hygro.climate.era5_reader import hourly_sums, runs_through_the_day
from hygro.errors import ClimateError

PLACE = (36.1, -79.95, 273.0)
NORTH, EAST = [36.25, 36.0], [-80.0, -79.75]
COMPARED = ("air_temperature", "air_pressure", "wind_speed", "rain", "solar_global", "solar_diffuse")


@pytest.fixture(scope="module")
def greensboro(invented):
    return load_weather(invented("greensboro-typical"))


@pytest.fixture
def written(greensboro, tmp_path):
    """Return a function that writes a grid and gives back its path."""

    def write(name="era5.nc", change=lambda grid: grid, **layout):
        grid = change(gridded(greensboro, layout.pop("north", NORTH), layout.pop("east", EAST), **layout))
        grid.to_netcdf(tmp_path / name)
        return tmp_path / name

    return write


def assert_same(weather, expected, skip=0):
    assert weather.sizes["time"] + skip == expected.sizes["time"]
    np.testing.assert_array_equal(weather["time"], expected["time"][skip:])
    for name in (*COMPARED, "longwave_sky"):
        np.testing.assert_allclose(weather[name], expected[name][skip:], rtol=1e-6, atol=1e-4, err_msg=name)
    blows = expected["wind_speed"].to_numpy()[skip:] > 0.0
    turned = weather["wind_direction"].to_numpy() - expected["wind_direction"].to_numpy()[skip:]
    turned = (turned[blows] + 180.0) % 360.0 - 180.0
    assert np.abs(turned).max() < 1e-6
    # dew point and back, both over water
    np.testing.assert_allclose(weather["relative_humidity"], expected["relative_humidity"][skip:], atol=1e-9)


def test_sums_of_the_hour(written, greensboro):
    weather = load_weather(written(), location=PLACE)
    assert_same(weather, greensboro)
    assert weather.attrs["modelled"] == "relative_humidity, solar_direct_normal"


def test_older_name_of_the_time_and_longitudes_from_0_to_360(written, greensboro):
    assert_same(load_weather(written(time="time", east=[280.0, 280.25]), location=PLACE), greensboro)


def test_zip_of_instantaneous_and_accumulated_files(written, greensboro, tmp_path):
    instant = written("instant.nc", lambda grid: grid[["t2m", "d2m", "u10", "v10", "sp"]])
    sums = written("sums.nc", lambda grid: grid[["tp", "ssrd", "fdir", "strd"]])
    assert_same(load_weather([instant, sums], location=PLACE), greensboro)
    with zipfile.ZipFile(tmp_path / "both.zip", "w") as archive:
        archive.write(instant, "instant.nc")
        archive.write(sums, "sums.nc")
    assert_same(load_weather(tmp_path / "both.zip", location=PLACE), greensboro)


def test_early_and_final_data_side_by_side(written, greensboro):
    def split(grid):
        import xarray as xr

        final = grid.where(grid["valid_time"] < np.datetime64("2001-09-01"))
        early = grid.where(grid["valid_time"] >= np.datetime64("2001-09-01"))
        return xr.concat([final, early], "expver")

    assert_same(load_weather(written(change=split), location=PLACE), greensboro)


def test_sums_from_midnight_are_taken_apart(greensboro, tmp_path):
    """A year that begins at 01 UTC has a sum of one hour first, so nothing is lost."""
    end = greensboro["time"].to_numpy().astype("datetime64[s]")
    rain = greensboro["rain"].to_numpy()
    start = int(np.argmax(end == np.datetime64("2001-01-02T01:00")))
    sums = running(end, rain)[start:]
    assert sums.max() > 5.0 * rain.max() / 4.0
    np.testing.assert_allclose(hourly_sums(end[start:], sums), rain[start:], atol=1e-9)


def test_sums_from_midnight_are_recognised_and_sums_of_the_hour_are_not(greensboro):
    end = greensboro["time"].to_numpy().astype("datetime64[s]")
    for name in ("rain", "solar_global", "longwave_sky"):
        hourly = greensboro[name].to_numpy()
        assert not runs_through_the_day(end, hourly), name
        assert runs_through_the_day(end, running(end, hourly)), name


def test_the_hour_before_the_first_sum_can_t_be_known(written):
    """Greensboro begins at 06 UTC: the first running sum holds five hours that are not in the file."""
    with pytest.raises(
        ClimateError, match="rain is missing in some hours .*1 hours, 1 h from 2001-01-01T05:00"
    ):
        load_weather(written(land=True), location=PLACE)


def test_sums_from_midnight_with_rain_from_elsewhere(written, greensboro, invented):
    weather = load_weather(written(land=True), location=PLACE, rain=invented("greensboro-typical"))
    assert weather.attrs["interpolated"] == "longwave_sky 1, solar_diffuse 1, solar_global 1"
    np.testing.assert_allclose(
        weather["solar_global"][1:], greensboro["solar_global"][1:], rtol=1e-6, atol=1e-3
    )
    assert "Sums of strd run from 00 UTC" in weather.attrs["findings"]


@pytest.mark.parametrize(
    ("place", "grid", "expected"),
    [
        ((36.1, -79.95), "nearest", 1.0),  # row 36.0 is the second, column -80 the first
        ((36.2, -79.80), "nearest", 10.0),
        ((36.125, -79.875), "bilinear", 5.5),
        ((36.25, -80.0), "bilinear", 0.0),
        ((36.0, -79.75), "bilinear", 11.0),
        ((36.30, -79.875), "bilinear", 5.0),  # within half a cell of the first row: that row
    ],
)
def test_cells(written, greensboro, place, grid, expected):
    weather = load_weather(written(step=0.1), location=(*place, 273.0), grid=grid)
    difference = weather["air_temperature"].to_numpy() - greensboro["air_temperature"].to_numpy()
    np.testing.assert_allclose(difference, 0.1 * expected, atol=1e-9)


def test_one_cell(written, greensboro):
    assert_same(load_weather(written(north=[36.1], east=[-79.95]), location=PLACE), greensboro)


@pytest.mark.parametrize(
    ("change", "options", "sentence"),
    [
        (lambda grid: grid, {}, "gridded data need a place; give latitude, longitude and altitude"),
        (
            lambda grid: grid,
            {"location": (40.0, -79.95, 0.0)},
            "outside the grid, found 'latitude 40, 3.75 deg",
        ),
        (lambda grid: grid, {"location": (36.1, 10.0, 0.0)}, "outside the grid, found 'longitude 10, "),
        (lambda grid: grid.drop_vars("tp"), {"location": PLACE}, "the files lack variables, .*expected tp"),
        (
            lambda grid: grid.rename(latitude="y"),
            {"location": PLACE},
            "the file has no latitude",
        ),
        (
            lambda grid: grid,
            {"location": PLACE, "grid": "cubic"},
            "found 'cubic', expected nearest or bilinear",
        ),
        (lambda grid: grid, {"location": PLACE, "columns": {"rain_mm": "tp"}}, "columns are fixed in netCDF"),
    ],
)
def test_refusals(written, change, options, sentence):
    path = written(change=change)
    with pytest.raises(ClimateError, match=sentence):
        load_weather(path, **options)


def test_no_netcdf(tmp_path):
    path = tmp_path / "broken.nc"
    path.write_text("no grid")
    with pytest.raises(ClimateError, match="the file can't be read as netCDF"):
        load_weather(path, location=PLACE)
    with pytest.raises(ClimateError, match="nowhere.nc: the file cannot be read"):
        load_weather(tmp_path / "nowhere.nc", location=PLACE)


def test_files_that_contradict_each_other(written):
    with pytest.raises(ClimateError, match="two files hold different values of t2m for the same hour"):
        load_weather([written("a.nc"), written("b.nc", lambda grid: grid + 1.0)], location=PLACE)


@pytest.fixture(scope="module")
def new_york(tmp_path_factory):
    """The real cell beside the project, written back into the layout it came from, sums in J and m."""
    import xarray as xr

    source = SHARED / "newyork_era5land_2018.csv"
    if not source.exists():
        pytest.skip(
            "the real cell newyork_era5land_2018.csv does not lie beside the project in ../shared/weather"
        )
    with source.open() as file:
        rows = list(csv.DictReader(file))
    end = np.array(
        [f"{r['Year']}-{int(r['Month']):02d}-{int(r['Day']):02d}T{int(r['Hour']):02d}:00" for r in rows],
        dtype="datetime64[s]",
    )

    def column(name):
        return np.array([float(row[name]) for row in rows])

    angle = np.radians(column("Wind Direction"))
    data = {
        "t2m": column("Temperature") + 273.15,
        "d2m": column("Dew Point") + 273.15,
        "u10": -column("Wind Speed") * np.sin(angle),
        "v10": -column("Wind Speed") * np.cos(angle),
        "sp": column("Pressure") * 100.0,
        "tp": column("Precipitation") / 1000.0,
        "ssrd": column("GHI") * 3600.0,
        "fdir": (column("GHI") - column("DHI")) * 3600.0,
        "strd": column("IR") * 3600.0,
    }
    grid = xr.Dataset(
        {name: (("valid_time", "latitude", "longitude"), c[:, None, None]) for name, c in data.items()},
        {"valid_time": end.astype("datetime64[ns]"), "latitude": [40.7], "longitude": [-74.0]},
    )
    path = tmp_path_factory.mktemp("grid") / "newyork.nc"
    grid.to_netcdf(path)
    return load_weather(path, location=(40.7128, -74.0060, 10.0))


def test_real_cell(new_york):
    from hygro.climate import weather_statistics

    figures = weather_statistics(new_york)
    # worked out with pandas from the file
    for name, expected in {"SW": 624.7, "W": 637.1, "NW": 562.6, "N": 433.3}.items():
        assert figures[f"airfield_index_{name}_l_m2"] == pytest.approx(expected, abs=0.1)
    assert new_york["time"].to_numpy()[0] == np.datetime64("2018-01-01T00:00")
    assert "solar_global" in new_york.attrs["clipped"]  # tiny negative amounts
