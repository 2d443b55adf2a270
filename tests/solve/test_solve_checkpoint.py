"""A march that was stopped goes on from its checkpoint to the same bits; nothing else is taken for one."""

import numpy as np
import pytest
from test_solve_repeating import WEEK, behind_foils, gathering
from test_solve_repeating import span as passes_of
from walls_in_rain import insulated

from hygro.grid.cells import build_grid
from hygro.solve import march as march_module
from hygro.solve.checkpoint import Checkpoint
from hygro.solve.march import march
from hygro.solve.repeating import march_repeating
from hygro.solve.settings import ACCURACIES, Span

ARRAYS = (
    "temperature",
    "log_suction",
    "field_temperature",
    "field_log_suction",
    "flows",
    "year_edges",
    "water",
    "heat",
)
COUNTS = ("steady_year", "steps", "rejected", "sweeps", "failure", "approach")


class Killed(Exception):
    """Stands for a process that ends without a word."""


def checkpoint(path, digest="wall"):
    return Checkpoint(path, digest, interval=0.0)


def stopped_after(times):
    calls = iter(range(times))

    def progress(done, most):
        if next(calls, None) is None:
            raise Killed

    return progress


def assert_same(a, b):
    for name in ARRAYS:
        assert np.array_equal(getattr(a, name), getattr(b, name)), name
    for name in COUNTS:
        assert getattr(a, name) == getattr(b, name), name


@pytest.mark.parametrize("portions", [1, 4, 7, 8])
def test_march_goes_on_to_the_same_bits(tmp_path, monkeypatch, portions):
    """In rain, over three passes through a record that portions do not divide, years within passes."""
    monkeypatch.setattr(march_module, "PORTION", 40)
    model = insulated(100)
    grid, span = build_grid(model), Span((0, 60, 120, 300), 100)
    settings = ACCURACIES["standard"]
    whole = march(model, grid, span, settings)
    with pytest.raises(Killed):
        march(model, grid, span, settings, None, stopped_after(portions), checkpoint(tmp_path / "state"))
    told = []
    again = march(
        model,
        grid,
        span,
        settings,
        None,
        lambda done, most: told.append(done),
        checkpoint(tmp_path / "state"),
    )
    assert_same(again, whole)
    assert not told or told[0] > 40  # it did go on, if there was anything left to do


def test_steady_year_is_the_same_after_a_stop(tmp_path, monkeypatch):
    monkeypatch.setattr(march_module, "PORTION", 50)
    model = behind_foils(1.0)
    grid, span, settings = build_grid(model), passes_of(40, 1e-3), ACCURACIES["standard"]
    whole = march(model, grid, span, settings)
    assert whole.steady_year > 3
    with pytest.raises(Killed):
        march(model, grid, span, settings, None, stopped_after(13), checkpoint(tmp_path / "state"))
    assert_same(march(model, grid, span, settings, None, None, checkpoint(tmp_path / "state")), whole)


@pytest.mark.parametrize("passes", [3, 8, 10])
def test_search_goes_on_to_the_same_bits(tmp_path, passes):
    """Stopped among the coarse years, at the first and among the last of the fine ones."""
    model = behind_foils(20.0)
    grid, settings = build_grid(model), ACCURACIES["standard"]
    whole = march_repeating(model, grid, passes_of(20), settings)
    with pytest.raises(Killed):
        march_repeating(
            model, grid, passes_of(20), settings, None, stopped_after(passes), checkpoint(tmp_path / "state")
        )
    told = []
    again = march_repeating(
        model, grid, passes_of(20), settings, None, lambda done, most: told.append(done),
        checkpoint(tmp_path / "state"),
    )  # fmt: skip
    assert_same(again, whole)
    assert told[0] >= passes * WEEK


def test_plain_march_after_a_search_in_vain_goes_on_too(tmp_path):
    model = gathering()
    grid, settings = build_grid(model), ACCURACIES["draft"]
    whole = march_repeating(model, grid, passes_of(6), settings)
    with pytest.raises(Killed):
        march_repeating(
            model, grid, passes_of(6), settings, None,
            stopped_after(whole.approach.coarse_years + 3), checkpoint(tmp_path / "state"),
        )  # fmt: skip
    assert (tmp_path / "state-march").is_file()
    again = march_repeating(model, grid, passes_of(6), settings, None, None, checkpoint(tmp_path / "state"))
    assert_same(again, whole)
    assert not (tmp_path / "state-march").exists()


def a_state():
    return {"done": np.array(3), "work": np.arange(6.0).reshape(2, 3)}


def test_state_comes_back_bit_for_bit(tmp_path):
    kept = checkpoint(tmp_path / "state")
    kept.save_if_due(a_state)
    back = checkpoint(tmp_path / "state").load()
    assert back.keys() == a_state().keys()
    assert np.array_equal(back["work"], a_state()["work"])
    assert [path.name for path in tmp_path.iterdir()] == ["state"]


def test_nothing_there_is_nothing_to_say(tmp_path, caplog):
    assert checkpoint(tmp_path / "state").load() is None
    assert not caplog.records


def test_state_of_another_run_is_refused_in_one_sentence(tmp_path, caplog):
    checkpoint(tmp_path / "state", "another").save_if_due(a_state)
    assert checkpoint(tmp_path / "state").load() is None
    (record,) = caplog.records
    assert "another case, wall, setting or version and is not used" in record.getMessage()


@pytest.mark.parametrize("share", [0.0, 0.3, 0.9, 0.999])
def test_truncated_file_is_refused_in_one_sentence(tmp_path, caplog, share):
    path = tmp_path / "state"
    checkpoint(path).save_if_due(a_state)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(share * len(whole))])
    assert checkpoint(path).load() is None
    (record,) = caplog.records
    assert "is damaged" in record.getMessage()


def test_flipped_bit_is_noticed(tmp_path, caplog):
    path = tmp_path / "state"
    checkpoint(path).save_if_due(lambda: {"work": np.zeros(1000)})
    damaged = bytearray(path.read_bytes())
    damaged[4000] ^= 1
    path.write_bytes(bytes(damaged))
    assert checkpoint(path).load() is None
    assert "is damaged" in caplog.text


def test_file_of_objects_is_not_opened(tmp_path, caplog):
    """What would need pickle is damage."""
    with (tmp_path / "state").open("wb") as file:
        np.savez(file, digest=np.array("wall"), work=np.array([{}], dtype=object))
    assert checkpoint(tmp_path / "state").load() is None
    assert "is damaged" in caplog.text


def test_short_runs_write_nothing(tmp_path):
    kept = Checkpoint(tmp_path / "state", "wall")
    kept.save_if_due(lambda: pytest.fail("the state was asked for"))
    assert not list(tmp_path.iterdir())


def test_where_nothing_can_be_written_the_run_goes_on(tmp_path, caplog):
    (tmp_path / "file").write_text("")
    kept = checkpoint(tmp_path / "file" / "state")
    kept.save_if_due(a_state)
    kept.save_if_due(a_state)
    (record,) = caplog.records
    assert "cannot be written" in record.getMessage()


def test_remove_takes_the_unfinished_one_along(tmp_path):
    kept = checkpoint(tmp_path / "state")
    kept.save_if_due(a_state)
    (tmp_path / ".state.partial").write_bytes(b"half of a state")
    kept.remove()
    assert not list(tmp_path.iterdir())
    kept.remove()
