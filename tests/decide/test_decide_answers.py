import json

import pytest

from hygro.decide.answers import answers_of
from hygro.decide.verdict import with_heat_saved


@pytest.fixture
def answer(make_verdict, make_bare):
    """Return a function that answers for the states of 20, 40, 60 ... mm."""

    def build(*states, bare="within"):
        verdicts = [make_verdict(state, 20.0 * (i + 1)) for i, state in enumerate(states)]
        bares = [] if bare is None else [make_bare(bare)]
        (found,) = answers_of(with_heat_saved([*bares, *verdicts]))
        return found

    return build


def test_the_greatest_thickness_within_and_what_stops_the_next(answer):
    found = answer("within", "within", "marginal", "exceeded")
    assert found.outcome == "within"
    assert (found.greatest_within_mm, found.greatest_marginal_mm) == (40.0, 60.0)
    assert (found.next_thicker_mm, found.next_state) == (60.0, "marginal")
    assert found.next_governing.value == 19.0
    assert "up to 40 mm" in found.sentence
    assert (
        "60 mm is marginal: moisture content of timber at joist end 19.0 % by mass, limit 20"
        in found.sentence
    )


def test_heat_saved_is_that_of_the_chosen_thickness_against_the_bare_wall(answer):
    found = answer("within", "exceeded")
    assert found.chosen == "wood-fibre-20.0-225.0"
    assert (found.heat_saved, found.u_value) == (70.0, 0.5)
    assert found.heat_saved_percent == pytest.approx(100 * 70 / 120)
    assert "saves 70 kWh/(m2 a) (58 %)" in found.sentence


def test_a_marginal_one_is_offered_where_none_is_within(answer):
    found = answer("marginal", "marginal", "exceeded")
    assert found.outcome == "marginal"
    assert (found.greatest_within_mm, found.greatest_marginal_mm) == (None, 40.0)
    assert found.chosen == "wood-fibre-40.0-225.0"
    assert found.sentence.startswith("nothing clear of every limit; up to 40 mm marginal: moisture content")


def test_none_of_the_thicknesses_is_an_answer(answer):
    found = answer("exceeded", "exceeded")
    assert found.outcome == "none"
    assert (found.greatest_within_mm, found.greatest_marginal_mm, found.chosen) == (None, None, "")
    assert (found.next_thicker_mm, found.heat_saved) == (20.0, None)
    assert found.sentence.startswith("none of the thicknesses: already 20 mm is exceeded")


def test_a_thicker_one_that_passes_is_not_relied_on_but_noted(answer):
    found = answer("within", "exceeded", "within", "within")
    assert found.greatest_within_mm == 20.0
    (note,) = [note for note in found.notes if "although" in note]
    assert note.startswith("60 mm, 80 mm are within every limit although 40 mm is not")


def test_one_that_passes_after_a_thinner_that_fails_leaves_no_thickness(answer):
    found = answer("exceeded", "within")
    assert found.outcome == "none"
    assert any("40 mm is within every limit although 20 mm is not" in note for note in found.notes)


def test_where_all_pass_the_note_says_that_thicker_ones_were_not_tried(answer):
    found = answer("within", "within")
    assert (found.next_thicker_mm, found.next_state, found.next_governing) == (None, "", None)
    assert any("40 mm is the thickest candidate" in note for note in found.notes)


def test_a_failed_variant_ends_the_run_of_passes_and_says_why(answer):
    found = answer("within", "unknown", "within")
    assert found.greatest_within_mm == 20.0
    assert found.next_state == "unknown"
    assert "40 mm could not be computed" in found.sentence
    assert any("40 mm failed: the march could not go on." in note for note in found.notes)


def test_where_the_thinnest_failed_the_answer_is_unknown(answer):
    found = answer("unknown", "within")
    assert found.outcome == "unknown"
    assert found.sentence == "unknown: 20 mm could not be computed"


@pytest.mark.parametrize(
    ("bare", "words"),
    [
        ("exceeded", "the bare wall exceeds a limit by itself: moisture content of timber at joist end 21.0"),
        ("marginal", "the bare wall is marginal by itself"),
        ("unknown", "the bare wall could not be computed"),
        (None, "no bare wall was computed"),
    ],
)
def test_what_is_wrong_with_the_bare_wall_is_noted(answer, bare, words):
    assert any(note.startswith(words) for note in answer("within", "exceeded", bare=bare).notes)


def test_a_sound_bare_wall_needs_no_note(answer):
    assert answer("within", "exceeded").notes == ()


def test_without_a_bare_wall_no_heat_is_said_to_be_saved(answer):
    found = answer("within", bare=None)
    assert found.heat_saved is None
    assert "saves" not in found.sentence


def test_each_build_up_on_each_elevation_has_an_answer_of_its_own(make_verdict, make_bare):
    verdicts = []
    for elevation, fibre, plaster in ((225.0, "exceeded", "within"), (0.0, "within", "within")):
        verdicts += [
            make_bare(elevation=elevation),
            make_verdict(fibre, 40.0, build_up="fibre", elevation=elevation),
            make_verdict(plaster, 40.0, build_up="plaster", elevation=elevation),
        ]
    found = answers_of(verdicts)
    assert [(a.build_up, a.elevation_name, a.outcome) for a in found] == [
        ("fibre", "SW", "none"),
        ("plaster", "SW", "within"),
        ("fibre", "N", "within"),
        ("plaster", "N", "within"),
    ]


def test_candidates_are_taken_from_thin_to_thick_however_they_are_listed(make_verdict):
    (found,) = answers_of([make_verdict("exceeded", 60.0), make_verdict("within", 20.0)])
    assert found.thicknesses_mm == (20.0, 60.0)
    assert found.greatest_within_mm == 20.0


@pytest.mark.parametrize(
    ("state", "outcome", "words"),
    [
        ("within", "within", "as drawn within every limit"),
        ("marginal", "marginal", "as drawn marginal: moisture content"),
        ("exceeded", "none", "exceeds a limit: as drawn is exceeded: moisture content"),
    ],
)
def test_a_build_up_whose_thickness_does_not_vary_is_answered_as_it_is(make_verdict, state, outcome, words):
    (found,) = answers_of([make_verdict(state, None)])
    assert found.outcome == outcome
    assert words in found.sentence


def test_an_answer_is_fit_for_json(answer):
    text = json.dumps(answer("within", "exceeded").to_dict(), allow_nan=False)
    assert json.loads(text)["next_governing"]["place"] == "joist end"
