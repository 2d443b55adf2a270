"""Result files: what is written comes back, and what is no result is refused in one sentence."""

import os
import stat

import netCDF4
import numpy as np
import pytest
import xarray as xr
from synthetic_wall import raw_result

from hygro.errors import ResultError
from hygro.results import build_dataset, load, save
from hygro.results.dataset import describe_variables


@pytest.fixture(scope="module")
def dataset():
    rng = np.random.default_rng(7)
    humidity = 0.8 + 0.05 * rng.standard_normal((2 * 8760, 6)).clip(-2, 2)
    return build_dataset(raw_result(2 * 8760, humidity=humidity, start=np.datetime64("2023-10-01T00:00")))


def test_everything_comes_back_bit_for_bit(dataset, tmp_path):
    path = save(dataset, tmp_path / "wall.nc")
    back = load(path)
    xr.testing.assert_equal(dataset, back)
    assert back.attrs == dataset.attrs
    for name in dataset.variables:
        assert back[name].dtype.kind == dataset[name].dtype.kind
        assert back[name].attrs.keys() == dataset[name].attrs.keys()
        assert back[name].attrs.get("units") == dataset[name].attrs.get("units")
    assert set(back.coords) == set(dataset.coords)


def test_file_is_compressed_and_holds_no_fill_values(dataset, tmp_path):
    path = save(dataset, tmp_path / "wall.nc")
    with netCDF4.Dataset(path) as raw:
        assert raw.variables["temperature"].filters()["zlib"]
        assert "_FillValue" not in raw.variables["temperature"].ncattrs()
        assert raw.variables["time"].units == "hours since 2023-10-01"
        assert raw.variables["time"].bounds == "time_bounds"
        assert "units" not in raw.variables["place"].ncattrs()
        assert raw.variables["time"][0] == 1


def test_an_existing_file_is_replaced_and_nothing_else_is_left(dataset, tmp_path):
    path = tmp_path / "deep" / "wall.nc"
    save(dataset, path)
    save(dataset.isel(time=slice(0, 48)), path)
    assert load(path).sizes["time"] == 48
    assert os.listdir(path.parent) == ["wall.nc"]
    mask = os.umask(0)
    os.umask(mask)
    assert stat.S_IMODE(path.stat().st_mode) == 0o666 & ~mask


def test_a_failed_write_leaves_the_old_file(dataset, tmp_path, monkeypatch):
    path = save(dataset.isel(time=slice(0, 48)), tmp_path / "wall.nc")

    def break_off(self, target, **options):
        target.write_bytes(b"half")
        raise OSError("disk full")

    monkeypatch.setattr(xr.Dataset, "to_netcdf", break_off)
    with pytest.raises(ResultError, match="disk full"):
        save(dataset, path)
    monkeypatch.undo()
    assert load(path).sizes["time"] == 48
    assert os.listdir(tmp_path) == ["wall.nc"]


def test_a_place_that_cannot_be_written_is_named(dataset, tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(ResultError, match="cannot be written"):
        save(dataset, tmp_path / "file" / "wall.nc")


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(ResultError, match=r"gone\.nc: there is no such result file"):
        load(tmp_path / "gone.nc")


def test_a_damaged_file_is_refused(dataset, tmp_path):
    path = save(dataset, tmp_path / "wall.nc")
    content = path.read_bytes()
    path.write_bytes(content[: len(content) // 2])
    with pytest.raises(ResultError, match="cannot be read as netCDF"):
        load(path)


def test_another_kind_of_file_is_refused(tmp_path):
    text = tmp_path / "notes.nc"
    text.write_text("no netCDF")
    with pytest.raises(ResultError, match="cannot be read as netCDF") as caught:
        load(text)
    assert "Errno" not in str(caught.value)
    assert str(caught.value).count("notes.nc") == 1
    other = tmp_path / "other.nc"
    xr.Dataset({"height": ("x", [1.0, 2.0])}).to_netcdf(other, engine="netcdf4")
    with pytest.raises(ResultError, match=r"no variable temperature\(time, place\)"):
        load(other)


def test_logged_data_in_the_same_shape_can_be_kept(tmp_path):
    time = np.datetime64("2022-01-01T01:00", "ns") + np.arange(48) * np.timedelta64(1, "h")
    logged = describe_variables(
        xr.Dataset(
            {
                "temperature": (("time", "place"), np.full((48, 1), 9.5)),
                "relative_humidity": (("time", "place"), np.full((48, 1), 0.83)),
            },
            {"time": time, "place": ["behind the board"]},
        )
    )
    back = load(save(logged, tmp_path / "logged.nc"))
    xr.testing.assert_equal(logged, back)
    assert back["temperature"].attrs["units"] == "degC"
