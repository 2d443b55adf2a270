import pytest

from hygro.decide.governing import TREND, governing_margin, governing_score, margin_of, worst_state


def test_the_worst_state_of_all_scores_counts(make_score):
    scores = [make_score("within", 10.0), make_score("exceeded", 21.0), make_score("marginal", 19.0)]
    assert worst_state(scores) == "exceeded"
    assert worst_state(scores[::2]) == "marginal"


def test_scores_for_information_decide_nothing(make_score):
    informative = make_score("for information", 99.0, limit=None)
    assert worst_state([informative, make_score("within", 10.0)]) == "within"
    assert worst_state([informative]) == "for information"
    assert governing_score([informative]) is None
    assert governing_margin([informative]) is None


@pytest.mark.parametrize(("value", "margin"), [(15.0, 0.25), (20.0, 0.0), (25.0, -0.25)])
def test_margin_is_the_distance_to_the_limit_as_a_share_of_it(make_score, value, margin):
    assert margin_of(make_score("within", value)) == margin


def test_margin_to_a_limit_of_zero_keeps_its_sign(make_score):
    assert margin_of(make_score("exceeded", 0.5, limit=0.0)) == -0.5
    assert margin_of(make_score("within", 0.0, limit=0.0)) == 0.0


def test_the_worse_state_governs_even_where_another_score_is_nearer_to_its_limit(make_score):
    humidity = make_score("within", 92.9, limit=95.0, name="interface_relative_humidity")
    mould = make_score("marginal", 2.6, limit=3.0, name="mould_index_interface")
    assert margin_of(humidity) < margin_of(mould)
    assert governing_score([humidity, mould]) is mould
    assert governing_margin([humidity, mould]) == pytest.approx(0.4 / 3.0)


def test_of_equal_states_the_one_nearest_to_its_limit_governs(make_score):
    near, far = make_score("within", 17.0), make_score("within", 5.0)
    assert governing_score([far, near]) is near


def test_of_exceeded_ones_the_furthest_beyond_governs(make_score):
    little, far = make_score("exceeded", 21.0), make_score("exceeded", 30.0)
    assert governing_score([little, far]) is far


def test_the_trend_of_the_water_governs_only_where_it_alone_is_worst(make_score):
    trend = make_score("marginal", 5.0, limit=1.0, name=TREND)
    within, exceeded = make_score("within", 15.0), make_score("exceeded", 21.0)
    assert governing_score([within, trend]) is trend
    assert governing_score([exceeded, trend]) is exceeded
    assert governing_score([make_score("marginal", 19.0), trend]).name != TREND


def test_the_trend_has_no_part_in_the_margin(make_score):
    trend = make_score("marginal", 5.0, limit=1.0, name=TREND)
    assert governing_margin([make_score("within", 15.0), trend]) == 0.25
    assert governing_margin([trend]) is None
