"""Words: places, scores, numbers and dates as a client reads them."""

import pytest
from report_study import case_table

from hygro.case.schema import CaseFile
from hygro.case.variants import expand
from hygro.report.assumptions import assumptions, value_words
from hygro.report.section import section_key, section_svg
from hygro.report.words import (
    Where,
    capital,
    day_words,
    elevation_words,
    governs_words,
    join_words,
    number,
    score_value,
    state_words,
)
from hygro.scores.states import Score


@pytest.fixture(scope="module")
def variant():
    """The thinnest wall with the build-up, from outside: brick, plaster | coat, insulation, finish, paint."""
    return expand(CaseFile.model_validate(case_table()))[1]


def made(name, place="p", value=93.21, unit="%", limit=95.0):
    return Score(name, place, value, unit, limit, "", "within", "", "")


@pytest.mark.parametrize(
    ("outer", "inner", "words"),
    [
        ("old plaster", "levelling coat", "where the new layers meet the old wall"),
        ("levelling coat", "insulation", "behind the insulation"),
        ("old plaster", "insulation", "where the insulation meets the old wall"),
        ("insulation", "finish", "on the room side of the insulation"),
        ("old brick", "old plaster", "between old brick and old plaster"),
    ],
)
def test_interfaces_are_named_by_what_meets_there(variant, outer, inner, words):
    found = governs_words(made("interface_relative_humidity"), Where("interface", outer, inner), variant)
    assert found == f"relative humidity {words}"


@pytest.mark.parametrize(
    ("name", "kind", "words"),
    [
        ("mould_index_surface", "internal surface", "mould growth on the surface to the room"),
        ("mould_index_interface", "probe", "mould growth at p"),
        ("timber_moisture_content", "probe", "moisture in timber at p"),
        ("timber_moisture_content", "layer", "moisture in timber in the layer p"),
        ("timber_moisture_content", "", "moisture in timber at p"),
        ("wall_water_change", "", "the wall holds more water each year"),
        ("u_value", "", "thermal transmittance, p"),
    ],
)
def test_scores_are_named_by_what_they_are_about(variant, name, kind, words):
    assert governs_words(made(name), Where(kind), variant) == words


def test_nothing_judged(variant):
    assert governs_words(None, Where(""), variant) == "nothing is judged"


def test_values_stand_with_their_limits():
    assert score_value(made("interface_relative_humidity")) == "93.2 %, limit 95 %"
    assert score_value(made("mould_index_surface", value=0.4, unit="1", limit=1.0)) == "index 0.4, limit 1"
    assert score_value(made("year_heat_loss", value=50.0, unit="kWh/m2", limit=None)) == "50.0 kWh/m²"


def test_a_value_is_not_rounded_on_to_its_limit():
    assert score_value(made("interface_relative_humidity", value=95.004)) == "95.004 %, limit 95 %"


def test_numbers_dates_and_lists():
    assert number(None) == "–"
    assert number(-0.26, 1) == "\N{MINUS SIGN}0.3"
    assert number(-0.01, 1) == "0.0"
    assert day_words("2027-02-01T00:00") == "1 Feb"
    assert day_words("") == ""
    assert join_words([]) == ""
    assert join_words(["a"]) == "a"
    assert join_words(["a", "b", "c"]) == "a, b and c"
    assert capital("wood") == "Wood"


def test_elevations_and_states():
    assert elevation_words("SW") == "south-west (SW)"
    assert elevation_words("247 deg") == "247 deg"
    assert elevation_words("") == "the wall"
    assert state_words("exceeded") == "exceeds a limit"
    assert state_words("marginal") == "is marginal"


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("height_m", 10.0, "10 m"),
        ("heat_coefficient_internal_W_m2K", 7.7, "7.7 W/(m² K)"),
        ("initial_temperature_C", -5.0, "\N{MINUS SIGN}5 °C"),
        ("tolerance_percent_RH", 0.1, "0.1 % RH"),
        ("viscosity", True, "yes"),
        ("elevations", ("SW", 247.5), "SW, 247.5"),
        ("columns", {"rain": "RR"}, "rain = RR"),
        ("wall_factor", 0.4, "0.4"),
    ],
)
def test_values_of_the_case_carry_the_unit_of_their_key(key, value, words):
    assert value_words(key, value) == words


def test_assumptions_tell_every_key_that_is_set_and_leave_out_idle_boundaries():
    found = dict(assumptions(CaseFile.model_validate(case_table())))
    keys = {row.key for row in found["Site"]}
    assert {"weather", "elevations", "terrain", "wall_factor", "uptake_share"} <= keys
    assert "rain" not in keys  # not set
    assert all(row.meaning for rows in found.values() for row in rows)
    assert "Outer boundary" not in found
    fixed = case_table(external={"kind": "constant", "temperature_C": 5.0, "relative_humidity_percent": 80.0})
    assert "Outer boundary" in dict(assumptions(CaseFile.model_validate(fixed)))


def test_section_is_to_scale_and_numbered(variant):
    key = section_key(variant, {"solid-brick": "Solid brick"})
    assert [row.mark for row in key] == ["1", "2", "3", "4", "5", "a"]
    assert [row.part for row in key] == ["wall"] * 2 + ["build-up"] * 4
    assert key[0].material == "Solid brick"
    assert key[5].thickness_mm is None
    called = variant.layers[5].film
    assert variant.layers[5].name == called  # a film without a name of its own is shown by its title
    assert section_key(variant, {called: "Open paint"})[5].name == "Open paint"
    drawn = str(section_svg(variant, 298.0, "a <wall>"))
    widths = [
        float(part.split('"')[0])
        for part in drawn.split('<rect x="')[1:]
        for part in [part.split('width="')[1]]
    ]
    # Widths are written with two decimals.
    assert widths[0] / widths[3] == pytest.approx(225.0 / 40.0, rel=1e-3)
    assert "a &lt;wall&gt;" in drawn
