"""Scores, verdicts and a study that takes moments."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tiny_study import write_study

from hygro.case import load_case
from hygro.case.variants import BARE_WALL, Variant
from hygro.decide.verdict import failed_verdict
from hygro.scores.states import Score


@pytest.fixture
def make_score():
    """Return a function that makes a score; the state follows from nothing, so that each test says it."""

    def build(state, value, limit=20.0, name="timber_moisture_content", place="joist end"):
        return Score(name, place, value, "% by mass", limit, "a standard", state, "2002-12-25T00:00", "")

    return build


@pytest.fixture
def make_verdict(make_score):
    """Return a function that makes a verdict of a state and a thickness."""

    def build(state, thickness_mm, *, build_up="wood fibre", elevation=225.0, loss=50.0):
        slug = f"{build_up}-{thickness_mm}-{elevation}".replace(" ", "-")
        variant = Variant(slug, build_up, thickness_mm, elevation, "SW" if elevation == 225.0 else "N", ())
        failed = failed_verdict(variant, "the march could not go on.")
        if state == "unknown":
            return failed
        values = {"within": 15.0, "marginal": 19.0, "exceeded": 21.0}
        score = make_score(state, values[state])
        return replace(
            failed,
            status="complete",
            message="",
            state=state,
            governing=score,
            scores=(score,),
            u_value=0.5,
            year_heat_loss=loss,
        )

    return build


@pytest.fixture
def make_bare(make_verdict):
    """Return a function that makes the verdict on a bare wall that loses 120 kWh/m2."""

    def build(state="within", elevation=225.0):
        return make_verdict(state, None, build_up=BARE_WALL, elevation=elevation, loss=120.0)

    return build


@pytest.fixture
def tiny_case(tmp_path):
    return load_case(write_study(tmp_path))
