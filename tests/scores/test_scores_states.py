"""States, limits and the registry of scores."""

import json

import pytest
import xarray as xr

from hygro.case.limits import LIMITS, MARGINS, SET_IN_CASE
from hygro.errors import ResultError
from hygro.scores.definitions import DEFINITIONS
from hygro.scores.limits import GIVEN, limits_of
from hygro.scores.make import make_score
from hygro.scores.states import classify


@pytest.mark.parametrize(
    ("value", "state"),
    [(0.0, "within"), (93.0, "within"), (93.01, "marginal"), (95.0, "marginal"), (95.01, "exceeded")],
)
def test_states_change_at_the_limit_and_a_margin_below(value, state):
    assert classify(value, 95.0, 2.0) == state


def test_without_a_limit_nothing_is_judged():
    assert classify(99.0, None, 2.0) == "for information"


def test_a_margin_of_zero_leaves_no_marginal_state():
    assert classify(95.0, 95.0, 0.0) == "within"


def case_of(limits):
    return xr.Dataset(attrs={"case_resolved": json.dumps({"limits": limits})})


class TestLimits:
    def test_defaults_with_their_sources(self):
        limits = limits_of(xr.Dataset())
        assert {key: (bound.value, bound.source) for key, bound in limits.items()} == {
            entry.key: (entry.value, entry.source) for entry in (*LIMITS, *MARGINS)
        }

    def test_the_case_stands_above_the_defaults(self):
        dataset = case_of({"timber_percent": 18, "sources": {"timber_percent": "a standard"}})
        limits = limits_of(dataset)
        assert (limits["timber_percent"].value, limits["timber_percent"].source) == (18.0, "a standard")
        assert limits["mould_index_surface"].value == 1.0

    def test_a_limit_without_source_says_so(self):
        assert limits_of(case_of({"timber_percent": 18}))["timber_percent"].source == SET_IN_CASE

    def test_given_limits_stand_above_the_case(self):
        limits = limits_of(case_of({"timber_percent": 18}), {"timber_percent": 16})
        assert (limits["timber_percent"].value, limits["timber_percent"].source) == (16.0, GIVEN)

    @pytest.mark.parametrize("value", ["18", True, float("nan"), float("inf"), -1.0, None])
    def test_what_is_no_limit_is_refused(self, value):
        with pytest.raises(ResultError, match="timber_percent is unusable"):
            limits_of(xr.Dataset(), {"timber_percent": value})

    def test_an_unknown_limit_is_refused_and_the_known_ones_listed(self):
        with pytest.raises(ResultError, match="'timber'.*timber_percent"):
            limits_of(xr.Dataset(), {"timber": 20.0})
        with pytest.raises(ResultError, match="'frost'"):
            limits_of(case_of({"frost": 1.0}))

    @pytest.mark.parametrize("text", ["{", "[1]", '{"limits": 3}', '{"limits": {"sources": 3}}'])
    def test_a_damaged_case_is_refused(self, text):
        with pytest.raises(ResultError, match="case_resolved"):
            limits_of(xr.Dataset(attrs={"case_resolved": text}))


def test_scores_take_unit_limit_and_source_from_their_definition():
    limits = limits_of(xr.Dataset(), {"timber_percent": 19.0})
    made = make_score("timber_moisture_content", "joist end", 18.0, limits)
    assert (made.unit, made.limit, made.limit_source, made.state) == ("% by mass", 19.0, GIVEN, "marginal")
    aside = make_score("timber_moisture_content", "joist end", 25.0, limits, judged=False)
    assert (aside.limit, aside.limit_source, aside.state) == (None, "", "for information")


def test_every_limit_of_the_case_file_is_used_by_a_score():
    used = {entry.limit_key for entry in DEFINITIONS.values()} | {
        entry.margin_key for entry in DEFINITIONS.values()
    }
    assert used - {""} == {entry.key for entry in (*LIMITS, *MARGINS)}


def test_every_definition_belongs_to_a_group():
    from hygro.scores.scoring import GROUPS

    assert {entry.group for entry in DEFINITIONS.values()} <= set(GROUPS)
