"""Wrong input: one sentence with line, what was found, what was expected, and a near miss."""

from __future__ import annotations

import pytest

from hygro.errors import CaseError

WRONG = [
    # what stands in the file, what replaces it, the sentence
    (
        "thickness_mm = 225",
        "thicknes_mm = 225",
        "13: unknown key 'thicknes_mm' in [[wall.layer]]; did you mean 'thickness_mm'",
    ),
    ('title = "A wall"', 'titel = "A wall"', "1: unknown key 'titel' in the case; did you mean 'title'"),
    (
        'title = "A wall"',
        'title = "A wall"\nterrain = "II"',
        "2: unknown key 'terrain' in the case; that key belongs in [site]",
    ),
    ("[room]", "[rooms]", "7: unknown key 'rooms' in the case; did you mean 'room'"),
    (
        'climate = "EN 15026 normal"',
        'climate = "EN 15026 norml"',
        "8: 'climate' in [room] is none of the choices, found 'EN 15026 norml', expected one of EN",
    ),
    (
        "thickness_mm = 225",
        'thickness_mm = "225"',
        "13: 'thickness_mm' in [[wall.layer]] is no thickness, found '225', expected a number in mm",
    ),
    (
        "thickness_mm = 225",
        "thickness_mm = 0",
        "13: the layer of 'brick' has an impossible thickness, found 0.0, expected more than 0 and at",
    ),
    (
        "thickness_mm = 225",
        "thickness_mm = -5",
        "13: the layer of 'brick' has an impossible thickness, found -5.0",
    ),
    (
        "thickness_mm = 225",
        "thickness_mm = 2001",
        "13: the layer of 'brick' has an impossible thickness, found 2001",
    ),
    ("[40, 80]", "[40, 0.0]", "25: 'thickness_mm' in [[build_up.layer]] does not rise from entry to entry"),
    (
        "thickness_mm = 225",
        "thickness_mm = nan",
        "13: 'thickness_mm' in [[wall.layer]] is no thickness, found nan",
    ),
    ("[40, 80]", "[40, inf]", "25: 'thickness_mm' in [[build_up.layer]] is no thickness, found [40, inf]"),
    (
        "thickness_mm = 225",
        "thickness_mm = 22,5",
        "13: not valid TOML (expected newline or end of document after a statement), "
        "found 'thickness_mm = 22,5'; decimals are written with a point",
    ),
    (
        'material = "brick"',
        'material = "brick',
        "12: not valid TOML (illegal character '\\n'), found 'material = \"brick'; a closing quote seems",
    ),
    (
        'climate = "EN 15026 normal"',
        'climate = "constant"\ntemperature_C = 20\nrelative_humidity_percent = 0.5',
        "10: 'relative_humidity_percent' in [room] is so low that a share from 0 to 1 seems meant, "
        "found 0.5, expected percent, at least 1; write 50 for 50 %",
    ),
    (
        "thickness_mm = 225",
        "thickness_mm = 225\ninitial_relative_humidity_percent = 0.8",
        "14: 'initial_relative_humidity_percent' in [[wall.layer]] is so low that a share",
    ),
    ("[40, 80]", "[0, 80]", "25: the layer of 'fibre' has an impossible thickness, found 0.0"),
    ("[40, 80]", "[]", "25: 'thickness_mm' in [[build_up.layer]] is no thickness"),
    ("thickness_mm = 225", "thickness_mm = [225]", "13: a list of thicknesses stands in the old wall"),
    (
        "thickness_mm = 10",
        "thickness_mm = [10, 20]",
        "25: the build-up 'Wood fibre, rigid' has a second list of thicknesses",
    ),
    ("thickness_mm = 225\n", "", "11: the layer of 'brick' has no thickness, expected thickness_mm"),
    ('film = "paint"', 'film = "paint"\nthickness_mm = 1', "28: the film 'paint' has a key 'thickness_mm'"),
    (
        'film = "paint"',
        'film = "paint"\nmaterial = "brick"',
        "26: the layer has both a material and a film, expected either material",
    ),
    ('film = "paint"', 'name = "paint"', "26: the layer has neither a material nor a film"),
    ('material = "brick"', "material = 5", "12: 'material' in [[wall.layer]] is of the wrong kind, found 5"),
    ('["SW", "N"]', '["SW", "M"]', "5: 'elevations' in [site] holds 'M', which is no elevation"),
    ('["SW", "N"]', '["SW", 225]', "5: 'elevations' in [site] names the elevation SW twice"),
    ('["SW", "N"]', "[400]", "5: 'elevations' in [site] holds 400, which is no elevation"),
    ('["SW", "N"]', '"SW"', "5: 'elevations' in [site] is no list of elevations, found 'SW'"),
    ('"weather.csv"', '"wether.csv"', "4: there is no such file: 'wether.csv'; did you mean 'weather.csv'?"),
    ('"weather.csv"', '"rain.csv"', "4: there is no such file: 'rain.csv'; paths start from the directory"),
    ('weather = "weather.csv"\n', "", "3: [site] lacks the key 'weather' (Weather file"),
    ("[wall]", "[run]\nyears = 2.5\n[wall]", "11: 'years' in [run] is no length of run, found 2.5"),
    ("[wall]", "[run]\nyears = 0\n[wall]", "11: 'years' in [run] is no length of run, found 0"),
    ("[wall]", '[run]\nyears = "until stedy"\n[wall]', "11: 'years' in [run] is no length of run"),
    ("[wall]", "[run]\nhours = 24\nyears = 1\n[wall]", "11: the length of the run is given twice"),
    ("[wall]", "[run]\nstart_month = 13\n[wall]", "11: 'start_month' in [run] is no month, found 13"),
    ("[wall]", "[output]\nfield_every_h = 7\n[wall]", "11: 7 h do not divide a year of 8760 h"),
    (
        "[wall]",
        '[run]\naccuracy = "high"\n[wall]',
        "11: 'accuracy' in [run] is none of the choices, found 'high'",
    ),
    (
        "[site]\n",
        "[site]\nuptake_share = 0\n",
        "4: 'uptake_share' in [site] is out of range, found 0, expected above 0",
    ),
    (
        "[wall]",
        "[grid]\nscale = 100.0\n[wall]",
        "11: 'scale' in [grid] is out of range, found 100.0, expected at most 10",
    ),
    (
        "[wall]",
        "[limits]\ntimber_percent = nan\n[wall]",
        "11: 'timber_percent' in [limits] is of the wrong kind",
    ),
    (
        "[wall]",
        "[limits]\ntimber_percent = true\n[wall]",
        "11: 'timber_percent' in [limits] is of the wrong kind",
    ),
    (
        "[wall]",
        '[limits]\nsources = {timbr = "x"}\n[wall]',
        "11: 'sources' in [limits] gives a source for 'timbr'",
    ),
    (
        "[wall]",
        "[wall]\nsolar_absorptance = 1.5",
        "11: 'solar_absorptance' in [wall] is out of range, found 1.5",
    ),
    (
        "[site]\n",
        '[site]\nterrain = "V"\n',
        "4: 'terrain' in [site] is no terrain category of ISO 15927-3, found 'V'",
    ),
    ("[site]\n", "[site]\nlatitude_deg = 52.0\n", "3: the place is given in part"),
    (
        "[site]\n",
        "[site]\nobstruction = 0.5\nobstruction_distance_m = 9.0\n",
        "5: the obstruction is given twice, expected either obstruction or obstruction_distance_m",
    ),
    (
        "[room]\n",
        "[room]\ntemperature_C = 20\n",
        "8: the key 'temperature_C' means nothing for the room climate",
    ),
    ('"EN 15026 normal"', '"constant"', "7: [room] with climate 'constant' lacks the key 'temperature_C'"),
    (
        "[[build_up]]\n",
        '[[build_up]]\nremoves = ["render"]\n',
        "19: the wall has no layer 'render' to remove, expected",
    ),
    (
        "[[build_up]]\n",
        '[[build_up]]\nremoves = ["brick", "plaster"]\n',
        "19: the build-up 'Wood fibre, rigid' removes the whole wall",
    ),
    ('"Wood fibre, rigid"', '"Bare wall"', "19: the name 'Bare wall' is too like 'bare wall'"),
    ('"Wood fibre, rigid"', '"?!"', "19: the name '?!' has no letter or digit"),
    (
        "[[build_up]]\n",
        '[[probe]]\nname = "joist"\ndepth_mm = 300\n[[build_up]]\n',
        "20: the probe 'joist' lies outside the wall, found 300.0, expected at most the wall's",
    ),
    (
        "[[build_up]]\n",
        '[[probe]]\nname = "joist"\ndepth_mm = 9\nfrom = "inside"\n[[build_up]]\n',
        "21: 'from' in [[probe]] is none of the choices, found 'inside', expected one of outside, inside",
    ),
    (
        "[wall]",
        '[external]\nkind = "climate"\ntemperature_C = 5\n[wall]',
        "12: the key 'temperature_C' means nothing",
    ),
    ("[wall]", '[internal]\nkind = "series"\n[wall]', "10: [internal] of kind 'series' lacks the key 'file'"),
    (
        "[wall]",
        '[internal]\nkind = "fixed"\ntemperature_C = 5\n[wall]',
        "10: [internal] of kind 'fixed' does not say",
    ),
    (
        "[wall]",
        '[internal]\nkind = "constant"\ntemperature_C = 5\nheat_coefficient_W_m2K = 8\n'
        "vapour_coefficient_kg_m2sPa = 1e-8\n[wall]",
        "10: [internal] gives no humidity, expected either relative_humidity_percent or vapour_pressure_Pa",
    ),
    (
        "[[wall.layer]]",
        "[wall.layer]",
        "14: this key is given twice, found '[[wall.layer]]'; a list of tables has",
    ),
    ("thickness_mm = 225", "thickness_mm = 225\nthickness_mm = 200", "14: this key is given twice, found"),
    ("[room]", "[site]", "7: this table is given twice, found '[site]'"),
    ("thickness_mm = 225", "thickness_mm = 225 mm", "13: not valid TOML ("),
    ('"A wall"', '"A wall', "1: not valid TOML (illegal character"),
    ("[wall]\n", "[wall\n", "10: not valid TOML ("),
]


@pytest.mark.parametrize(("old", "new", "expected"), WRONG, ids=[f"{i}" for i in range(len(WRONG))])
def test_each_mistake_gets_its_sentence(refusal, old, new, expected):
    assert refusal(old, new).startswith(expected)


def test_an_unknown_key_is_named_before_the_key_it_leaves_missing(refusal):
    sentence = refusal('weather = "weather.csv"', 'wether = "weather.csv"')
    assert sentence == "4: unknown key 'wether' in [site]; did you mean 'weather'?."[: len(sentence)]


def test_a_missing_table_says_so(refusal):
    assert refusal('[room]\nclimate = "EN 15026 normal"\n', "").startswith(
        "1: the case lacks the table [room]"
    )


def test_a_case_without_anything_to_compute(read, text):
    head, _, _ = text.partition("[[build_up]]")
    with pytest.raises(CaseError, match="nothing to compute"):
        read(f"bare_wall = false\n{head}")


def test_an_unknown_material_is_met_on_loading_with_its_line(refusal):
    sentence = refusal('material = "fibre"', 'material = "no-such-material-anywhere"')
    assert sentence.startswith("24: ")
    assert "no-such-material-anywhere" in sentence


def test_start_from_humidity_or_water_content_not_both(refusal):
    sentence = refusal(
        "thickness_mm = 225",
        "thickness_mm = 225\ninitial_relative_humidity_percent = 80\ninitial_water_content_kg_m3 = 10",
    )
    assert sentence.startswith("15: the layer starts from both a humidity and a water content")


def test_a_probe_inside_a_layer_that_comes_off(refusal):
    sentence = refusal(
        "[[build_up]]\n",
        '[[probe]]\nname = "x"\ndepth_mm = 5\nfrom = "inside of the wall"\n'
        '[[build_up]]\nremoves = ["plaster"]\n',
    )
    assert sentence.startswith("20: the probe 'x' lies inside 'plaster', which a build-up removes, found 5.0")


def test_every_refusal_is_a_case_error_with_exit_code_3(read, text):
    with pytest.raises(CaseError) as caught:
        read(text.replace("[wall]", "[walls]"))
    assert caught.value.exit_code == 3
    assert "\n" not in str(caught.value)
