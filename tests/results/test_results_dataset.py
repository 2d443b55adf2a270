"""Raw arrays to the result dataset: stamps, units, totals, refusals."""

import json
from dataclasses import replace

import numpy as np
import pytest
from synthetic_wall import LAYERS, PLACES, raw_result

from hygro.errors import ResultError
from hygro.results import RunInfo, build_dataset
from hygro.results.dataset import HEATING_LIMIT, heating_hours
from hygro.results.raw import hour_ends, year_edges
from hygro.variables.registry import VARIABLES

HOUR = np.timedelta64(1, "h")


def stamp(text):
    return np.datetime64(text, "ns")


def test_every_variable_of_the_registry_is_there_with_its_attributes():
    dataset = build_dataset(raw_result(48))
    assert set(dataset.variables) == set(VARIABLES)
    for name, entry in VARIABLES.items():
        variable = dataset[name]
        assert variable.dims == entry.dims
        assert (name in dataset.coords) is entry.coordinate
        for key, text in entry.attributes().items():
            assert variable.attrs[key] == text
    assert dataset["time"].attrs["bounds"] == "time_bounds"
    assert "units" not in dataset["time"].attrs


def test_single_precision_for_profiles_only():
    dataset = build_dataset(raw_result(48))
    single = {name for name in dataset.variables if dataset[name].dtype == np.float32}
    assert single == {"temperature_field", "relative_humidity_field", "water_content_field"}


def test_states_keep_their_meaning_through_the_change_of_units():
    temperature = np.linspace(-10, 30, 48 * len(PLACES)).reshape(48, -1)
    humidity = np.linspace(0.3, 0.999, 48 * len(PLACES)).reshape(48, -1)
    dataset = build_dataset(raw_result(48, temperature=temperature, humidity=humidity))
    # Only the rounding of two conversions lies between.
    np.testing.assert_allclose(dataset["temperature"], temperature, atol=1e-11)
    np.testing.assert_allclose(dataset["relative_humidity"], humidity, rtol=1e-11)
    np.testing.assert_allclose(dataset["external_relative_humidity"], 0.85, rtol=1e-12)
    np.testing.assert_allclose(dataset["internal_air_temperature"], 20.0, atol=1e-11)


def test_layers_and_cells_are_placed_from_outside():
    dataset = build_dataset(raw_result(48))
    np.testing.assert_allclose(dataset["layer_start"], [0.0, 0.300, 0.310, 0.370])
    np.testing.assert_allclose(dataset["depth"][:4], [0.075, 0.225, 0.3025, 0.3075])
    assert dataset["layer_added"].values.tolist() == [0, 1, 1, 1]
    assert dataset["layer_timber"].attrs["flag_meanings"] == "no yes"


def test_water_of_a_layer_is_its_content_times_its_thickness():
    dataset = build_dataset(raw_result(48))
    contents = np.array([100.0, 50.0, 10.0, 45.0]) * [layer.thickness for layer in LAYERS]
    np.testing.assert_allclose(dataset["layer_water_content"][-1], contents, rtol=1e-12)
    cells = (dataset["water_content_field"] * dataset["cell_size"]).sum("depth")
    np.testing.assert_allclose(dataset["layer_water_content"].sum("layer"), cells, rtol=1e-6)


def test_profiles_are_stamped_from_the_start_on():
    dataset = build_dataset(raw_result(48))
    assert dataset["field_time"].values[0] == stamp("2023-01-01T00:00")
    assert dataset["field_time"].values[1] == dataset["time"].values[23] == stamp("2023-01-02T00:00")


class TestStamps:
    def test_bounds_enclose_the_hour_before_the_stamp(self):
        dataset = build_dataset(raw_result(48))
        np.testing.assert_array_equal(dataset["time_bounds"][:, 1], dataset["time"])
        assert (dataset["time_bounds"][:, 1] - dataset["time_bounds"][:, 0] == HOUR).all()
        assert dataset["time_bounds"].values[0, 0] == stamp("2023-01-01T00:00")

    def test_a_repeated_year_skips_29_february(self):
        ends = hour_ends(np.datetime64("2023-07-01T00:00"), 3 * 8760, 8760)
        assert ends[-1] == stamp("2026-07-01T00:00")
        begins = ends - HOUR
        assert not ((begins >= stamp("2024-02-29")) & (begins < stamp("2024-03-01"))).any()
        steps = np.diff(ends)
        assert (steps != HOUR).sum() == 1
        assert ends[np.argmax(steps)] == stamp("2024-02-29T00:00")

    def test_many_years_skip_every_29_february(self):
        ends = hour_ends(np.datetime64("2020-01-01T00:00"), 30 * 8760, 8760)
        assert ends[-1] == stamp("2050-01-01T00:00")
        assert (np.diff(ends) > HOUR).sum() == 8

    def test_several_years_without_leap_days_skip_them_when_they_come_again(self):
        start, record = np.datetime64("2001-01-01T00:00"), 3 * 8760
        ends = hour_ends(start, 2 * record, record)
        assert ends[-1] == stamp("2007-01-01T00:00")
        assert year_edges(start, 2 * record, record).tolist() == [8760 * year for year in range(7)]

    def test_a_record_of_several_years_runs_on(self):
        ends = hour_ends(np.datetime64("2023-07-01T00:00"), 2 * 8760 + 24, 2 * 8760 + 24)
        assert (np.diff(ends) == HOUR).all()
        assert ends[-1] == stamp("2025-07-01T00:00")

    def test_years_of_a_repeated_record(self):
        start = np.datetime64("2023-07-01T00:00")
        assert year_edges(start, 2 * 8760, 8760).tolist() == [0, 8760, 17520]
        assert year_edges(start, 8760 + 5, 8760).tolist() == [0, 8760, 8765]
        assert year_edges(start, 100, 8760).tolist() == [0, 100]

    def test_years_of_a_long_record_follow_the_calendar(self):
        start = np.datetime64("2023-07-01T00:00")
        hours = 3 * 8760 + 24
        assert year_edges(start, hours, hours).tolist() == [0, 8784, 17544, 26304]


class TestTotals:
    def test_rain_adds_up(self):
        dataset = build_dataset(raw_result(2 * 8760))
        np.testing.assert_allclose(dataset["year_rain_on_wall"], 3e-6 * 3600 * 8760)
        np.testing.assert_allclose(dataset["year_rain_uptake"], 2e-6 * 3600 * 8760)
        assert dataset["year"].values.tolist() == [1, 2]
        assert dataset["year_hours"].values.tolist() == [8760, 8760]

    def test_heat_loss_counts_heating_days_only(self):
        hours = 8760
        warm = np.arange(hours) >= 200 * 24
        outdoors = np.where(warm, 20.0, 5.0) + 273.15
        raw = raw_result(hours, external_air_temperature=outdoors, heat_flux_internal=np.full(hours, 10.0))
        assert build_dataset(raw)["year_heat_loss"].item() == pytest.approx(10.0 * 200 * 24 / 1000)

    def test_heat_loss_is_net(self):
        flux = np.where(np.arange(8760) % 2 == 0, 30.0, -10.0)
        outdoors = np.full(8760, 278.15)
        raw = raw_result(8760, external_air_temperature=outdoors, heat_flux_internal=flux)
        assert build_dataset(raw)["year_heat_loss"].item() == pytest.approx(10.0 * 8760 / 1000)

    def test_a_day_counts_by_its_mean(self):
        day = np.where(np.arange(24) < 12, HEATING_LIMIT - 9.0, HEATING_LIMIT + 10.0)
        series = np.concatenate([day, day - 1.0, np.full(5, HEATING_LIMIT - 0.1)])
        heating = heating_hours(series, np.array([0, len(series)]))
        assert heating.tolist() == [False] * 24 + [True] * 24 + [True] * 5

    def test_a_cut_year_is_told_by_its_hours(self):
        dataset = build_dataset(raw_result(8760 + 240))
        assert dataset["year_hours"].values.tolist() == [8760, 240]
        assert dataset["year_rain_on_wall"].values[1] == pytest.approx(3e-6 * 3600 * 240)


class TestAttributes:
    def test_provenance_is_there(self):
        run = RunInfo(
            title="a wall",
            case_file="wall.toml",
            case_resolved={"limits": {"timber_percent": 18.0}},
            materials=[{"name": "brick", "digest": "ab"}],
            thickness_mm=60.0,
            elevation=225.0,
            elevation_name="SW",
            references=("Paper 1", "Paper 2"),
        )
        attrs = build_dataset(raw_result(24, run=run)).attrs
        assert attrs["Conventions"] == "CF-1.11"
        assert attrs["source"].startswith("hygro ")
        assert "simulated wall.toml" in attrs["history"]
        assert json.loads(attrs["case_resolved"])["limits"]["timber_percent"] == 18.0
        assert json.loads(attrs["materials"])[0]["digest"] == "ab"
        assert json.loads(attrs["versions"])["numpy"]
        assert (attrs["thickness_mm"], attrs["elevation"], attrs["elevation_name"]) == (60.0, 225.0, "SW")
        assert attrs["references"] == "Paper 1; Paper 2"
        assert attrs["status"] == "complete"

    def test_what_does_not_apply_is_said_in_words(self):
        attrs = build_dataset(raw_result(24)).attrs
        assert attrs["thickness_mm"] == attrs["elevation"] == "none"

    def test_two_builds_differ_in_history_at_most(self):
        first, second = (build_dataset(raw_result(24)) for _ in range(2))
        for dataset in (first, second):
            del dataset.attrs["history"]
        assert first.identical(second)


class TestRefusals:
    @pytest.mark.parametrize(
        "name",
        ["suction", "rain_uptake", "field_water", "cell_layer", "internal_vapour_pressure", "balance_heat"],
    )
    def test_wrong_shape_is_named(self, name):
        raw = raw_result(48)
        with pytest.raises(ResultError, match=f"{name} has the wrong shape"):
            build_dataset(replace(raw, **{name: getattr(raw, name)[:-1]}))

    def test_not_finite_is_named_with_its_place(self):
        raw = raw_result(48)
        raw.temperature[7, 2] = np.nan
        with pytest.raises(ResultError, match=r"\(7, 2\): temperature is not finite"):
            build_dataset(raw)

    @pytest.mark.parametrize("what", ["places", "layers"])
    def test_labels_are_unique(self, what):
        raw = raw_result(48)
        entries = list(getattr(raw, what))
        key = "label" if what == "places" else "name"
        entries[1] = replace(entries[1], **{key: getattr(entries[0], key)})
        with pytest.raises(ResultError, match="label occurs twice"):
            build_dataset(replace(raw, **{what: entries}))

    def test_an_empty_march_is_no_result(self):
        with pytest.raises(ResultError, match="no hour"):
            build_dataset(raw_result(0))
