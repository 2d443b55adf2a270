"""Which variants the pictures show, and what is taken from the result files."""

import dataclasses

import pytest
from report_study import case_table, write_study
from report_walls import wall_dataset

from hygro.decide.answers import answers_of
from hygro.errors import ResultError
from hygro.report.answers import elevation_of, summary_of
from hygro.report.assumptions import material_records, steady_words
from hygro.report.inputs import read_inputs
from hygro.report.runs import summarise, summarise_runs
from hygro.report.subjects import history_groups, leading_answer, map_subject, subject_of
from hygro.report.words import Where
from hygro.scores.states import Score


@pytest.fixture(scope="module")
def inputs(study):
    return read_inputs(study)


@pytest.fixture(scope="module")
def runs(inputs):
    return summarise_runs(inputs)


def restated(inputs, states, scores=None):
    """The same assessment with other states by slug, answered anew."""
    verdicts = tuple(
        dataclasses.replace(
            verdict,
            state=states.get(verdict.slug, "within"),
            governing=(scores or {}).get(verdict.slug, verdict.governing),
        )
        for verdict in inputs.verdicts
    )
    return dataclasses.replace(inputs, verdicts=verdicts, answers=answers_of(verdicts))


def test_the_map_shows_the_first_that_exceeds_on_the_wettest_elevation(inputs, runs):
    changed = restated(
        inputs, {"wood-fibre-rigid-080mm-SW": "exceeded", "wood-fibre-rigid-120mm-SW": "exceeded"}
    )
    assert map_subject(changed, runs).verdict.slug == "wood-fibre-rigid-080mm-SW"


def test_the_map_shows_the_thickest_where_none_exceeds(inputs, runs):
    assert map_subject(restated(inputs, {}), runs).verdict.slug == "wood-fibre-rigid-120mm-SW"


def test_without_answers_the_map_shows_the_least_margin(inputs, runs):
    bare = tuple(verdict for verdict in inputs.verdicts if verdict.build_up == "bare wall")
    alone = dataclasses.replace(inputs, verdicts=bare, answers=())
    least = min(bare, key=lambda verdict: verdict.margin)
    assert map_subject(alone, runs).verdict.slug == least.slug
    assert map_subject(alone, {}) is None


def test_each_elevation_has_a_history_of_all_thicknesses(inputs, runs):
    groups = history_groups(inputs, runs)
    assert [answer.elevation_name for answer, _, _ in groups] == ["SW", "N"]
    for _, _, shown in groups:
        assert [verdict.thickness_mm for verdict in shown] == [40.0, 80.0, 120.0]


def test_the_leading_answer_saves_most_within_the_limits(inputs):
    first, second = inputs.answers[:2]

    def answer(outcome, saved):
        return dataclasses.replace(first, outcome=outcome, heat_saved=saved)

    best = answer("within", 60.0)
    assert leading_answer([answer("marginal", 90.0), answer("within", 40.0), best]) is best
    much = answer("marginal", 90.0)
    assert leading_answer([second, much]) in (much, second)
    assert leading_answer([answer("none", None), much]) is much
    assert leading_answer([]) is None


@pytest.mark.parametrize(
    ("name", "place", "quantity", "shown"),
    [
        ("timber_moisture_content", "joist end", "timber", "joist end"),
        ("mould_index_interface", "levelling coat | insulation", "mould", "levelling coat | insulation"),
        ("timber_moisture_content", "insulation", "humidity", None),  # a layer has no history by the hour
        ("wall_water_change", "whole wall", "humidity", None),
    ],
)
def test_what_has_no_history_is_shown_by_the_humidity_of_the_critical_interface(
    inputs, runs, name, place, quantity, shown
):
    score = Score(name, place, 21.0, "% by mass", 20.0, "", "exceeded", "2027-02-01T00:00", "")
    verdict = dataclasses.replace(inputs.verdict("wood-fibre-rigid-080mm-SW"), governing=score)
    subject = subject_of(verdict, runs[verdict.slug])
    assert subject.quantity == quantity
    assert subject.place == (shown or verdict.interface)
    assert subject.limit == (20.0 if shown else 95.0)


def test_places_know_what_meets_there(inputs, runs):
    places = runs["wood-fibre-rigid-080mm-SW"].places
    assert places["levelling coat | insulation"] == Where("interface", "levelling coat", "insulation")
    assert places["joist end"] == Where("probe")
    assert places["insulation"] == Where("layer")
    assert places["internal surface"] == Where("internal surface")


def test_the_climate_of_the_last_year_is_told(inputs, runs):
    year = runs["bare-wall-SW"].climate
    # A wave of 7 degC about 10 degC: means of whole years and of its coldest day.
    assert year.outdoor_mean == pytest.approx(10.0, abs=1e-6)
    assert year.outdoor_least == pytest.approx(3.0, abs=0.01)
    assert year.outdoor_humidity == pytest.approx(85.0, abs=1e-6)
    assert year.room_winter == pytest.approx((21.0, 50.0))


def test_balances_keep_the_largest_error_whatever_its_sign(inputs):
    dataset = wall_dataset(80.0, years=1)
    dataset["balance_moisture"][:] = -3e-4
    verdict = dataclasses.replace(inputs.verdict("wood-fibre-rigid-080mm-SW"))
    assert summarise(dataset, verdict).balance == pytest.approx(3e-4)


@pytest.mark.parametrize(("text", "message"), [("{", "is no JSON"), ("{}", "is unusable")])
def test_materials_that_are_no_list_are_refused(inputs, text, message):
    dataset = wall_dataset(80.0, years=1)
    dataset.attrs["materials"] = text
    with pytest.raises(ResultError, match=f"materials {message}"):
        summarise(dataset, inputs.verdict("wood-fibre-rigid-080mm-SW"))


def test_materials_are_counted_by_the_kind_of_their_sources(runs):
    records = material_records(runs)
    assert [record.name for record in records] == ["solid-brick", "wood-fibre-rigid"]
    assert records[0].counts == {"published": 1, "derived": 1}
    assert records[1].counts == {"published": 1, "memory": 1}


def test_years_that_were_not_asked_to_be_steady(runs):
    names = dict.fromkeys(runs, "x")
    assert "was not asked for" in steady_words(runs, names, asked=False)
    assert "(2 years were run)" in steady_words(runs, names, asked=True)
    slug = next(iter(runs))
    restless = {**runs, slug: dataclasses.replace(runs[slug], steady_year=0, years=10.0)}
    assert "1 of 8 walls did not" in steady_words(restless, names, asked=True)
    assert "(2 to 10 were run): x (1)" in steady_words(restless, names, asked=True)


def test_a_wet_bare_wall_is_cured_first_but_a_cold_surface_is_what_insulation_cures(inputs, runs):
    def warning(name):
        score = Score(name, "internal surface", 21.0, "1", 20.0, "", "exceeded", "", "")
        changed = restated(inputs, {"bare-wall-SW": "exceeded"}, {"bare-wall-SW": score})
        return summary_of(changed, runs, 225.0)["warning"]

    assert "exceeds a limit already" in warning("timber_moisture_content")
    assert "cure that first" in warning("timber_moisture_content")
    assert "cure that first" not in warning("mould_index_surface")
    assert summary_of(restated(inputs, {}), runs, 225.0)["warning"] == ""


def test_cards_tell_what_stops_the_next_thickness(inputs, runs):
    changed = restated(
        inputs, {"wood-fibre-rigid-080mm-SW": "marginal", "wood-fibre-rigid-120mm-SW": "exceeded"}
    )
    (card,) = elevation_of(changed, runs, 225.0)["cards"]
    assert card["headline"] == "40 mm"
    assert card["also"] == "marginal up to 80 mm"
    assert card["next"].startswith("80 mm is marginal: ")
    assert card["states"] == [("40", "within"), ("80", "marginal"), ("120", "exceeded")]
    saved = inputs.verdict("wood-fibre-rigid-040mm-SW")
    assert card["saved"].startswith(f"{saved.heat_saved:.0f} kWh/(m² a) ({saved.heat_saved_percent:.0f} %)")


def test_a_build_up_whose_thickness_does_not_vary(tmp_path):
    table = case_table(elevations=("N",))
    table["build_up"][0]["layer"][1]["thickness_mm"] = 60.0
    table["build_up"][0]["layer"] = table["build_up"][0]["layer"][:3]
    write_study(tmp_path, table, years=1, drawn_mm=60.0)
    read = read_inputs(tmp_path)
    (card,) = elevation_of(read, summarise_runs(read), read.answers[0].elevation)["cards"]
    assert read.verdicts[1].thickness_mm is None
    assert card["headline"] == ("not this build-up" if read.answers[0].outcome == "none" else "as drawn")
    assert [name for name, _ in card["states"]] == ["as drawn"]
