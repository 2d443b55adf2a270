"""Scores of whole datasets: which places are judged, when, and what a dataset must hold."""

from dataclasses import replace

import numpy as np
import pytest
import xarray as xr
from synthetic_wall import LAYERS, PLACES, raw_result

from hygro.errors import ResultError
from hygro.results import RunInfo, build_dataset
from hygro.scores import DEFINITIONS, score
from hygro.scores.interface import trend, year_before
from hygro.scores.mould import mould_index
from hygro.scores.timber import daily_means, equilibrium_moisture

YEAR = 8760
BRICK, MORTAR, LINING = 2, 3, 4  # columns of the interfaces


def pick(scores, name, place=None):
    found = [made for made in scores if made.name == name and place in (None, made.place)]
    assert len(found) == 1, found
    return found[0]


def humid(hours, level=0.7):
    return np.full((hours, len(PLACES)), level)


@pytest.fixture(scope="module")
def plain():
    return score(build_dataset(raw_result(YEAR, temperature=15.0, humidity=0.7)))


def test_every_definition_is_scored_and_nothing_else(plain):
    assert {made.name for made in plain} == set(DEFINITIONS)
    for made in plain:
        assert made.unit == DEFINITIONS[made.name].unit
        assert (made.limit is None) == (made.state == "for information") == (made.limit_source == "")
        assert isinstance(made.value, float)


def test_a_dry_wall_is_within_every_limit(plain):
    assert {made.state for made in plain} == {"within", "for information"}


class TestMould:
    def test_value_is_the_largest_of_the_record_and_when(self):
        humidity = humid(2 * YEAR)
        humidity[:3000, MORTAR] = 0.97
        dataset = build_dataset(raw_result(2 * YEAR, temperature=20.0, humidity=humidity))
        made = pick(score(dataset), "mould_index_interface", "mortar | insulation")
        index = mould_index(
            np.full(2 * YEAR, 20.0), 100 * humidity[:, MORTAR], "medium resistant", "relatively low"
        )
        assert made.value == pytest.approx(index.max(), abs=1e-9)
        assert made.when == str(dataset["time"].values[2999])[:16]
        assert f"largest of the last year {index[YEAR:].max():.2f}" in made.note

    def test_surface_and_interface_have_their_own_limits(self):
        dataset = build_dataset(raw_result(YEAR, temperature=20.0, humidity=0.97))
        scores = score(dataset)
        surface = pick(scores, "mould_index_surface", "internal surface")
        inside = pick(scores, "mould_index_interface", "mortar | insulation")
        assert surface.value == inside.value
        assert (surface.limit, surface.state) == (1.0, "exceeded")
        # 2.79 after a year at 20 degC and 97 % lies within half an index of the limit of 3.
        assert (inside.limit, inside.state) == (3.0, "marginal")

    def test_the_external_surface_is_for_information(self):
        humidity = humid(YEAR)
        humidity[:, 0] = 0.99
        made = pick(
            score(build_dataset(raw_result(YEAR, temperature=20.0, humidity=humidity))),
            "mould_index_external",
        )
        assert made.value > 2.0
        assert (made.state, made.limit) == ("for information", None)

    def test_classes_belong_to_places(self):
        places = [
            replace(place, sensitivity="very sensitive") if i == MORTAR else place
            for i, place in enumerate(PLACES)
        ]
        raw = raw_result(1000, temperature=20.0, humidity=0.95, places=places)
        scores = score(build_dataset(raw))
        fast = pick(scores, "mould_index_interface", "mortar | insulation")
        slow = pick(scores, "mould_index_interface", "insulation | boarding")
        assert fast.value > 4.0 > 1.0 > slow.value
        assert fast.note.startswith("very sensitive, decline relatively low")


class TestWhichPlacesAreJudged:
    def states(self, layers):
        dataset = build_dataset(raw_result(100, humidity=0.97, layers=layers))
        names = ("interface_relative_humidity", "mould_index_interface")
        return {(made.name, made.place): made.state for made in score(dataset) if made.name in names}

    def test_from_the_inner_face_of_the_old_wall_inwards(self):
        states = self.states(LAYERS)
        for place in ("brick | mortar", "mortar | insulation", "insulation | boarding"):
            assert states["interface_relative_humidity", place] == "exceeded"
            assert states["mould_index_interface", place] == "within"
        assert states["mould_index_interface", "joist end"] == "for information"

    def test_old_plaster_that_stays_is_part_of_the_old_wall(self):
        states = self.states([LAYERS[0], replace(LAYERS[1], added=False), *LAYERS[2:]])
        assert states["interface_relative_humidity", "brick | mortar"] == "for information"
        assert states["interface_relative_humidity", "mortar | insulation"] == "exceeded"

    def test_of_the_bare_wall_the_surface_alone(self):
        states = self.states([replace(layer, added=False) for layer in LAYERS])
        assert set(states.values()) == {"for information"}


class TestInterface:
    def test_largest_hour_of_the_last_year_and_hours_above(self):
        humidity = humid(2 * YEAR)
        humidity[YEAR - 1, MORTAR] = 0.999  # the last hour of the first year: not counted
        humidity[YEAR + 50 : YEAR + 80, MORTAR] = 0.96
        humidity[YEAR + 60, MORTAR] = 0.98
        humidity[YEAR + 200 : YEAR + 300, MORTAR] = 0.85
        dataset = build_dataset(raw_result(2 * YEAR, humidity=humidity))
        scores = score(dataset)
        made = pick(scores, "interface_relative_humidity", "mortar | insulation")
        assert made.value == pytest.approx(98.0)
        assert made.when == str(dataset["time"].values[YEAR + 60])[:16]
        assert made.state == "exceeded"
        assert "30 h above 95 %" in made.note
        assert pick(scores, "interface_hours_above_95", "mortar | insulation").value == 30
        assert pick(scores, "interface_hours_above_80", "mortar | insulation").value == 130

    @pytest.mark.parametrize(("level", "state"), [(0.92, "within"), (0.94, "marginal"), (0.96, "exceeded")])
    def test_states(self, level, state):
        made = pick(
            score(build_dataset(raw_result(YEAR, humidity=level))),
            "interface_relative_humidity",
            "brick | mortar",
        )
        assert made.state == state

    def test_a_short_record_says_so(self):
        made = pick(score(build_dataset(raw_result(48))), "interface_relative_humidity", "brick | mortar")
        assert "record of 48 h only" in made.note


class TestWater:
    @pytest.mark.parametrize(
        ("growth", "course", "state"),
        [(0.0, "steady", "within"), (0.03, "accumulates", "marginal"), (-0.03, "dries", "within")],
    )
    def test_trend_of_the_last_year(self, growth, course, state):
        scores = score(build_dataset(raw_result(2 * YEAR, water_growth=growth)))
        wall = pick(scores, "wall_water_change")
        assert wall.note.startswith(course)
        assert wall.state == state
        assert wall.limit == 1.0
        assert wall.value == pytest.approx(100 * growth / (1 + growth), abs=1e-9)
        layer = pick(scores, "layer_water_change", "brick")
        assert layer.value == pytest.approx(30.0 * growth, abs=1e-9)
        assert (layer.state, course in layer.note) == ("for information", True)

    def test_the_first_year_is_told(self):
        note = pick(score(build_dataset(raw_result(YEAR))), "wall_water_change").note
        assert "starts from assumed moisture" in note

    def test_no_year_no_trend(self):
        names = {made.name for made in score(build_dataset(raw_result(YEAR - 48)))}
        assert "wall_water_change" not in names

    def test_one_per_cent_is_steady(self):
        assert trend(100.0, 101.0) == "steady"
        assert trend(100.0, 101.1) == "accumulates"
        assert trend(100.0, 98.9) == "dries"
        assert trend(0.0, 0.0) == "steady"

    def test_the_same_date_a_year_before_over_a_leap_day(self):
        stamps = np.datetime64("2023-06-01T00:00", "ns") + np.arange(400) * np.timedelta64(24, "h")
        last = np.flatnonzero(stamps == np.datetime64("2024-06-10T00:00"))[0]
        assert stamps[year_before(stamps[: last + 1])] == np.datetime64("2023-06-10T00:00")


class TestTimber:
    def test_bounds(self):
        assert equilibrium_moisture(np.array([20.0]), np.array([0.0]))[0] == 0.0
        over, at = equilibrium_moisture(np.array([20.0, 20.0]), np.array([104.0, 100.0]))
        assert over == at
        assert 27.0 < at < 30.0
        # Simpson 1998 near saturation; the rest of the table is checked with the references.
        assert equilibrium_moisture(np.array([20.0]), np.array([98.0]))[0] == pytest.approx(26.64, abs=0.0051)

    def test_probe_is_judged_by_its_wettest_day(self):
        humidity = humid(YEAR)
        humidity[24 * 10 : 24 * 12, 1] = 0.95
        humidity[24 * 50, 1] = 0.99  # one hour: hardly moves the mean of its day
        dataset = build_dataset(raw_result(YEAR, temperature=20.0, humidity=humidity))
        scores = score(dataset)
        made = pick(scores, "timber_moisture_content", "joist end")
        assert made.value == pytest.approx(23.94, abs=0.006)
        assert made.state == "exceeded"
        assert made.when == "2023-01-12T00:00"
        assert pick(scores, "timber_hours_above_limit", "joist end").value == 48

    def test_layer_is_judged_by_its_water(self):
        # 45 kg/m3 in 450 kg/m3 is 10 %; it more than doubles over the year.
        raw = raw_result(YEAR, water_growth=1.2)
        scores = score(build_dataset(raw))
        made = pick(scores, "timber_moisture_content", "boarding")
        assert made.value == pytest.approx(22.0)
        assert (made.state, made.when) == ("exceeded", "2024-01-01T00:00")
        # 10 % (1 + 1.2 t) passes 20 % after 304.17 days; the profiles of days 305 to 365 are above.
        assert pick(scores, "timber_hours_above_limit", "boarding").value == 24 * 61

    def test_a_day_at_the_limit_is_not_above_it(self):
        dataset = build_dataset(raw_result(48, temperature=20.0, humidity=0.9))
        wettest = pick(score(dataset), "timber_moisture_content", "joist end").value
        scores = score(dataset, {"timber_percent": wettest})
        assert pick(scores, "timber_hours_above_limit", "joist end").value == 0
        assert pick(scores, "timber_moisture_content", "joist end").state == "marginal"

    def test_no_timber_no_score(self):
        layers = [replace(layer, timber=False) for layer in LAYERS]
        places = [replace(place, timber=False) for place in PLACES]
        names = {made.name for made in score(build_dataset(raw_result(48, layers=layers, places=places)))}
        assert "timber_moisture_content" not in names

    def test_daily_means(self):
        assert daily_means(np.arange(50.0)).tolist() == [11.5, 35.5]
        assert daily_means(np.arange(3.0)).tolist() == [1.0]


class TestHeat:
    def test_loss_is_that_of_the_last_full_year(self):
        hours = 2 * YEAR + 500
        flux = np.where(np.arange(hours) < YEAR, 10.0, 20.0)
        outdoors = np.full(hours, 275.0)
        dataset = build_dataset(raw_result(hours, heat_flux_internal=flux, external_air_temperature=outdoors))
        made = pick(score(dataset), "year_heat_loss")
        assert made.value == pytest.approx(20.0 * YEAR / 1000)
        assert made.note == "year 2"

    def test_a_cut_year_says_so(self):
        made = pick(score(build_dataset(raw_result(500))), "year_heat_loss")
        assert "only 500 h" in made.note

    def test_u_value_of_the_layers(self, plain):
        resistance = 0.13 + 0.3 / 0.6 + 0.01 / 0.7 + 0.06 / 0.06 + 0.02 / 0.12 + 0.04
        assert pick(plain, "u_value").value == pytest.approx(1 / resistance)


class TestLoggedData:
    def logged(self, hours=100):
        time = np.datetime64("2024-02-28T01:00", "ns") + np.arange(hours) * np.timedelta64(1, "h")
        shape = (("time", "place"), np.full((hours, 1), 15.0))
        return xr.Dataset(
            {"temperature": shape, "relative_humidity": (shape[0], np.full((hours, 1), 0.94))},
            {
                "time": time,
                "place": ["behind the board"],
                "place_kind": ("place", ["interface"]),
                "place_sensitivity": ("place", ["sensitive"]),
                "place_decline": ("place", ["significant"]),
                "place_timber": ("place", [1]),
            },
        )

    def test_histories_alone_can_be_scored(self):
        scores = score(self.logged(), groups=("mould", "interface", "timber"))
        assert pick(scores, "interface_relative_humidity").state == "marginal"
        assert pick(scores, "timber_moisture_content").state == "exceeded"
        assert pick(scores, "mould_index_interface").state == "within"

    @pytest.mark.parametrize(
        "name",
        [
            "temperature",
            "relative_humidity",
            "place_kind",
            "place_sensitivity",
            "place_decline",
            "place_timber",
            "time",
        ],
    )
    def test_a_missing_variable_is_named(self, name):
        with pytest.raises(ResultError, match=f"no variable {name},"):
            score(self.logged().drop_vars(name), groups=("mould", "interface", "timber"))

    @pytest.mark.parametrize(
        ("group", "name"),
        [("heat", "layer"), ("water", "layer_water_content"), ("timber layers", "layer_timber")],
    )
    def test_what_logged_data_lack_is_named(self, group, name):
        with pytest.raises(ResultError, match=f"no variable {name},"):
            score(self.logged(), groups=[group])

    def test_the_order_of_dimensions_does_not_matter(self):
        groups = ("mould", "interface", "timber")
        assert score(self.logged().transpose("place", "time"), groups=groups) == score(
            self.logged(), groups=groups
        )

    def test_wrong_dimensions_are_refused(self):
        dataset = self.logged()
        dataset["temperature"] = dataset["temperature"].isel(place=0, drop=True)
        with pytest.raises(ResultError, match="temperature has the wrong dimensions"):
            score(dataset, groups=["mould"])

    def test_a_gap_is_refused_and_located(self):
        dataset = self.logged().isel(time=[0, 1, 2, 5, 6])
        with pytest.raises(ResultError, match="after 2024-02-28T03:00.*step of 3 h"):
            score(dataset, groups=["mould"])

    def test_only_29_february_may_be_skipped(self):
        dataset = self.logged()
        leap_day = (dataset["time"] > np.datetime64("2024-02-29T00:00")) & (
            dataset["time"] <= np.datetime64("2024-03-01T00:00")
        )
        score(dataset.isel(time=~leap_day.values), groups=["mould"])
        other_day = dataset.assign_coords(time=dataset["time"] + np.timedelta64(24, "h"))
        with pytest.raises(ResultError, match="hour by hour"):
            score(other_day.isel(time=~leap_day.values), groups=["mould"])

    def test_a_value_that_is_missing_is_located(self):
        dataset = self.logged()
        dataset["relative_humidity"][3, 0] = np.nan
        with pytest.raises(
            ResultError, match="2024-02-28T04.*behind the board: relative_humidity is not finite"
        ):
            score(dataset, groups=["interface"])

    def test_no_hour_is_refused(self):
        with pytest.raises(ResultError, match="no hour"):
            score(self.logged().isel(time=slice(0, 0)), groups=["mould"])


def test_limits_can_be_given():
    dataset = build_dataset(raw_result(48, humidity=0.9))
    scores = score(dataset, {"interface_relative_humidity_percent": 85.0})
    made = pick(scores, "interface_relative_humidity", "brick | mortar")
    assert (made.limit, made.state) == (85.0, "exceeded")


def test_an_unknown_group_is_refused():
    with pytest.raises(ResultError, match="'frost', expected one of mould, interface"):
        score(build_dataset(raw_result(48)), groups=["frost"])
    with pytest.raises(ResultError, match=r"'mold'.*did you mean 'mould'\?"):
        score(build_dataset(raw_result(48)), groups=["mold"])


def test_a_partial_result_says_so_on_every_score():
    run = RunInfo(title="a wall", status="partial: the step became too small")
    scores = score(build_dataset(raw_result(48, run=run)))
    assert all("partial: the step became too small" in made.note for made in scores)
