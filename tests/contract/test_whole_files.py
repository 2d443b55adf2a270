"""Files are written whole or not at all, and a failure is the caller's error in one sentence."""

import os
import stat

import pytest

from hygro.errors import ClimateError, ResultError
from hygro.whole_files import replacing, write_text


def test_text_is_written_as_it_is_with_the_directories_above(tmp_path):
    path = write_text(tmp_path / "new" / "table.csv", "w, kg/m³\r\n1\n")
    assert path.read_bytes() == "w, kg/m³\r\n1\n".encode()
    assert [found.name for found in path.parent.iterdir()] == ["table.csv"]


def test_the_mask_of_the_user_holds(tmp_path):
    mask = os.umask(0o027)
    try:
        path = write_text(tmp_path / "table.csv", "text")
    finally:
        os.umask(mask)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_write_that_is_cut_short_leaves_the_old_file(tmp_path, monkeypatch):
    path = write_text(tmp_path / "verdicts.csv", "old")

    def no_space(*arguments):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", no_space)
    with pytest.raises(ResultError, match="the file cannot be written, found 'No space left on device'"):
        write_text(path, "new")
    assert path.read_text() == "old"
    assert [found.name for found in tmp_path.iterdir()] == ["verdicts.csv"]


@pytest.mark.parametrize("failure", [ValueError, KeyboardInterrupt])
def test_whatever_breaks_off_a_write_leaves_nothing_behind(tmp_path, failure):
    with pytest.raises(failure), replacing(tmp_path / "map.nc") as temporary:
        temporary.write_bytes(b"half")
        raise failure
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("failure", [ResultError, ClimateError])
def test_a_place_that_cannot_be_written_to_is_one_sentence(tmp_path, failure):
    (tmp_path / "taken").write_text("a file")
    with pytest.raises(failure, match=r"verdicts\.csv: the file cannot be written"):
        write_text(tmp_path / "taken" / "verdicts.csv", "text", failure)
