import json

import pytest
from synthetic_wall import PLACES, raw_result

from hygro.constants import HOURS_PER_YEAR
from hygro.results import save
from hygro.results.dataset import build_dataset


@pytest.fixture
def wet_file(tmp_path):
    """A year of a wall whose places all stay at 97 %."""
    return save(build_dataset(raw_result(HOURS_PER_YEAR, humidity=0.97)), tmp_path / "wet.nc")


def test_scores_are_listed_with_state_and_what_governs(run, wet_file):
    found = run("score", wet_file)
    assert found.exit_code == 0, found.output
    judged, informative = found.stdout.split("For information")
    assert "Judged against a limit" in judged
    assert "97.0 %" in judged
    assert "exceeded" in judged
    assert "thermal transmittance" in informative
    assert "exceeded; governed by " in informative
    assert "limit: " in informative


def test_json_holds_every_score(run, wet_file):
    data = json.loads(run("score", wet_file, "--json").stdout)
    assert data["state"] == "exceeded"
    assert data["governing"]["state"] == "exceeded"
    interfaces = [made for made in data["scores"] if made["name"] == "interface_relative_humidity"]
    assert len(interfaces) == sum(place.kind == "interface" for place in PLACES)
    assert interfaces[0]["value"] == pytest.approx(97.0)


def test_a_group_can_be_picked(run, wet_file):
    data = json.loads(run("score", wet_file, "--json", "--group", "mould", "--group", "heat").stdout)
    names = {made["name"] for made in data["scores"]}
    assert "u_value" in names
    assert not any(name.startswith(("interface", "timber", "wall")) for name in names)


def test_an_unknown_group_ends_with_3_and_names_the_others(run, wet_file):
    found = run("score", wet_file, "--group", "frogs")
    assert found.exit_code == 3
    assert "mould, interface" in found.stderr


def test_logged_data_without_layers_are_scored_by_group(run, tmp_path):
    dataset = build_dataset(raw_result(48, humidity=0.9))
    kept = ["temperature", "relative_humidity"]
    logged = dataset[kept].drop_dims("layer", errors="ignore")
    logged.attrs = {}
    path = save(logged, tmp_path / "logged.nc")
    assert run("score", path).exit_code == 3
    found = run("score", path, "--group", "mould", "--group", "interface")
    assert found.exit_code == 0, found.output


@pytest.mark.parametrize("content", [None, "no netCDF"])
def test_a_file_that_is_no_result_ends_with_3(run, tmp_path, content):
    path = tmp_path / "x.nc"
    if content is not None:
        path.write_text(content)
    found = run("score", path)
    assert found.exit_code == 3
    assert str(path) in found.stderr
