import pytest

from hygro.decide.words import (
    date_words,
    governing_words,
    heat_words,
    percent_words,
    thickness_words,
    value_words,
)
from hygro.scores.states import Score


def score(value, unit="%", limit=95.0, name="interface_relative_humidity"):
    return Score(name, "brick | plaster", value, unit, limit, "", "within", "", "")


@pytest.mark.parametrize(
    ("value", "unit", "limit", "words"),
    [
        (88.26, "%", 95.0, "88.3 %"),
        (2.5, "1", 3.0, "2.5"),
        (3999.0, "h", None, "3999 h"),
        (0.6599, "W/(m2 K)", None, "0.66 W/(m2 K)"),
        (-0.00001, "kg/m2 per year", None, "0.000 kg/m2 per year"),
    ],
)
def test_values_have_the_digits_that_their_unit_needs(value, unit, limit, words):
    assert value_words(score(value, unit, limit)) == words


@pytest.mark.parametrize(("value", "words"), [(95.004, "95.004 %"), (94.96, "94.96 %"), (95.0, "95.0 %")])
def test_a_value_beside_its_limit_is_not_rounded_on_to_it(value, words):
    assert value_words(score(value)) == words


def test_governing_words_name_quantity_place_value_and_limit():
    assert governing_words(score(96.0)) == "humidity at an interface at brick | plaster 96.0 %, limit 95"
    assert governing_words(None) == "nothing is judged"


def test_missing_numbers_are_dashes_and_a_fixed_thickness_is_as_drawn():
    assert (heat_words(None), percent_words(None), thickness_words(None)) == ("-", "-", "as drawn")
    assert (heat_words(69.7), percent_words(57.6), thickness_words(12.5)) == (
        "70 kWh/(m2 a)",
        "58 %",
        "12.5 mm",
    )


@pytest.mark.parametrize(
    ("date", "words"), [("10-01", "1 Oct"), ("02-28", "28 Feb"), ("2003-12-31", "31 Dec 2003")]
)
def test_days_are_told_with_the_name_of_the_month(date, words):
    assert date_words(date) == words
