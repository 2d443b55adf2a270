"""Parquet with the column names of CSV; a clear sentence where the package that reads it is not there."""

import builtins
import importlib.util

import numpy as np
import pandas as pd
import pytest

from hygro.climate import load_weather
from hygro.errors import ClimateError

PLACE = (52.0, 0.0, 80.0)
needs_pyarrow = pytest.mark.skipif(
    importlib.util.find_spec("pyarrow") is None, reason="pyarrow, which reads Parquet, is not installed"
)


@pytest.fixture
def frame(invented):
    frame = pd.read_csv(invented("sheltered-inland"), comment="#")
    frame["hour_ending_utc"] = pd.to_datetime(frame["hour_ending_utc"])
    return frame


@pytest.fixture
def written(frame, tmp_path):
    def write(change=lambda frame: frame):
        path = tmp_path / "year.parquet"
        change(frame).to_parquet(path)
        return path

    return write


@needs_pyarrow
def test_same_as_csv(written, inland):
    weather = load_weather(written(), location=PLACE)
    np.testing.assert_array_equal(weather["time"], inland["time"])
    for name in inland.data_vars:
        np.testing.assert_allclose(weather[name], inland[name], atol=1e-12, err_msg=name)


@needs_pyarrow
def test_times_as_index_in_another_zone_and_a_column_map(written, inland):
    def change(frame):
        frame = frame.rename(columns={"air_temperature_C": "temp"}).set_index("hour_ending_utc")
        return frame.tz_convert("Europe/Berlin")

    weather = load_weather(written(change), location=PLACE, columns={"air_temperature_C": "temp"})
    np.testing.assert_array_equal(weather["time"], inland["time"])
    np.testing.assert_array_equal(weather["air_temperature"], inland["air_temperature"])


@needs_pyarrow
def test_place_in_the_attributes_of_the_frame(written, inland):
    def change(frame):
        frame.attrs.update({"latitude": 52.0, "longitude": 0.0, "altitude": 80.0})
        return frame

    assert load_weather(written(change)).attrs["altitude"] == 80.0


def setting(column, row, value):
    def change(frame):
        frame[column] = frame[column].astype(object if isinstance(value, str) else float)
        frame.loc[row, column] = value
        return frame

    return change


@needs_pyarrow
@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            setting("air_temperature_C", 3, np.inf),
            "year.parquet:4: column 'air_temperature_C' holds no number",
        ),
        (setting("air_temperature_C", 3, -9999.0), "year.parquet:4: column 'air_temperature_C' holds -9999"),
        (
            lambda frame: frame.assign(air_temperature_C="warm"),
            "column 'air_temperature_C' holds no numbers",
        ),
        (lambda frame: frame.assign(hour_ending_utc=1.0), "column 'hour_ending_utc' holds no time"),
        (lambda frame: frame.iloc[:0], "the file holds no rows"),
        (lambda frame: frame.iloc[:500], "year.parquet:500: the record is not a whole number of years"),
    ],
)
def test_refusals(written, change, sentence):
    with pytest.raises(ClimateError, match=sentence):
        load_weather(written(change), location=PLACE)


@needs_pyarrow
def test_no_parquet(tmp_path):
    path = tmp_path / "no.parquet"
    path.write_text("nothing of the kind")
    with pytest.raises(ClimateError, match="the file can't be read as Parquet"):
        load_weather(path, location=PLACE)
    with pytest.raises(ClimateError, match="nowhere.parquet: the file cannot be read"):
        load_weather(tmp_path / "nowhere.parquet", location=PLACE)


def test_without_pyarrow(tmp_path, monkeypatch):
    real = builtins.__import__

    def without(name, *args, **kwargs):
        if name.split(".")[0] == "pyarrow":
            raise ImportError(name)
        return real(name, *args, **kwargs)

    path = tmp_path / "year.parquet"
    path.write_bytes(b"PAR1")
    monkeypatch.setattr(pd, "read_parquet", lambda *args, **kwargs: without("pyarrow"))
    with pytest.raises(
        ClimateError, match="needs the package pyarrow, which is not installed; install pyarrow, or"
    ):
        load_weather(path, location=PLACE)
