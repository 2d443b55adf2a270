"""What is wrong with a material file is said in one sentence, with file and line."""

from pathlib import Path

import pytest

from hygro.errors import MaterialError
from hygro.materials import load_film, load_material

DATA = Path(load_material.__code__.co_filename).parent / "data"


def refuse(tmp_path, old, new, name="solid-brick", load=load_material):
    text = (DATA / f"{name}.toml").read_text()
    assert old in text
    path = tmp_path / "bad.toml"
    path.write_text(text.replace(old, new, 1))
    with pytest.raises(MaterialError) as caught:
        load(path).table() if load is load_material else load(path)
    sentence = str(caught.value)
    assert str(path) in sentence
    assert sentence.endswith((".", "?"))
    assert "\n" not in sentence
    return sentence


def line_of(text, fragment):
    return next(number for number, line in enumerate(text.splitlines(), 1) if fragment in line)


@pytest.mark.parametrize(
    ("old", "new", "parts"),
    [
        (
            "value = 1700.0",
            'value = "heavy"',
            ["must be a number", "found 'heavy', expected a number in kg/m3"],
        ),
        ("value = 1700.0", "value = -1700.0", ["density is not plausible", "-1700", "5 to 3500 kg/m3"]),
        ("value = 1700.0", "value = true", ["must be a number", "True"]),
        ("value = 1700.0", "value = nan", ["must be a number"]),
        ("value = 1700.0", "valeu = 1700.0", ["value of [density] is missing", "is 'valeu' meant"]),
        ("value = 1700.0", "value = 1.7", ["density is not plausible", "1.7", "5 to 3500 kg/m3"]),
        ("value = 920.0", "value = 0.92", ["specific_heat is not plausible"]),
        ('unit = "kg/m3"', 'unit = "g/cm3"', ["density is stated in the wrong unit", "'g/cm3'", "kg/m3"]),
        ("low = 1500.0", "low = 2500.0", ["spread is upside down"]),
        ('kind = "derived"', 'kind = "guess"', ["kind of [density] is not known", "published, derived"]),
        ('kind = "derived"', 'kind = "Memory"', ["did you mean 'memory'?"]),
        ("title = ", "titel = ", ["title is missing", "is 'titel' meant"]),
        ('category = "masonry"', 'category = "brickwork"', ["category is not known", "masonry"]),
        ("[storage]\n", "[storage]\ncolour = 3\n", ["unknown key 'colour' in [storage]", "expected one of"]),
        ("[density]\n", "[densty]\n", ["density is missing, expected a section [density]", "densty"]),
        (
            'form = "hyperbolic"',
            'form = "hyperbola"',
            ["form of [storage] is not known", "did you mean 'hyperbolic'?"],
        ),
        ("water_mass_percent = [0.08, 0.11]", "water_mass_percent = 0.11", ["must be a list of numbers"]),
        (
            "water_mass_percent = [0.08, 0.11]",
            'water_mass_percent = [0.08, "x"]',
            ["must be a number", "'x'"],
        ),
        ("water_mass_percent = [0.08, 0.11]", "water_mass_percent = [0.08, 55.0]", ["straight line"]),
        ("[50.0, 80.0]", "[50.0, 180.0]", ["outside 0 to 100"]),
        ("[50.0, 80.0]", "[50.0]", ["humidity between 0 and 1"]),
        (
            "value = 0.36",
            "value = 0.3",
            ["more water than the open pores hold", "1000 kg/m3 times porosity 0.3"],
        ),
        ("value = 240.0", "value = 340.0", ["spread of free_saturation does not hold its own value", "340"]),
        ("value = 0.36", "value = 0.2", ["spread of porosity does not hold its own value", "at most"]),
        ("low = 1500.0\n", "", ["low of [density] is missing"]),
        (
            '[liquid]\nform = "absorption"',
            '[liquid]\nform = "absorption"\nlow = 1.5\nhigh = 2.0',
            ["spread of liquid does not hold its own value", "low at most and high at least 1"],
        ),
        (
            'value = 240.0\nunit = "kg/m3"\nlow = 200.0\nhigh = 330.0',
            'value = 380.0\nunit = "kg/m3"\nlow = 200.0\nhigh = 380.0',
            ["free saturation exceeds saturation", "360"],
        ),
        (
            'value = 0.36\nunit = "1"\nlow = 0.25\nhigh = 0.4',
            'value = 0.9\nunit = "1"\nlow = 0.25\nhigh = 0.9',
            ["solid denser than"],
        ),
        ("dry_cup = 16.0", "dry_cup = 0.0", ["must be above 0"]),
        ("[0.64, 0.9, 1.05", "[0.64, 0.9, 0.85", ["must not fall"]),
        ('value = "medium resistant"', 'value = "medium"', ["mould_sensitivity", "medium resistant"]),
        ("title = ", "title = 3 # ", ["title must be a text"]),
        ("[storage]", "timber = 3\n[storage]", ["unknown key 'timber'"]),
    ],
)
def test_slips_are_named(tmp_path, old, new, parts):
    sentence = refuse(tmp_path, old, new)
    for part in parts:
        assert part in sentence


def test_the_line_is_the_right_one(tmp_path):
    text = (DATA / "solid-brick.toml").read_text()
    sentence = refuse(tmp_path, "dry_cup = 16.0", 'dry_cup = "x"')
    assert f"bad.toml:{line_of(text, 'dry_cup')}: dry_cup of [vapour]" in sentence


def test_a_value_out_of_range_is_met_at_its_line_before_curves_are_made(tmp_path):
    text = (DATA / "solid-brick.toml").read_text()
    sentence = refuse(tmp_path, "value = 240.0", "value = -240.0")
    assert f"bad.toml:{line_of(text, 'value = 240.0')}: free_saturation is not plausible" in sentence


def test_missing_source_is_refused(tmp_path):
    text = (DATA / "solid-brick.toml").read_text()
    path = tmp_path / "bad.toml"
    start = text.index("source = ")
    path.write_text(text[:start] + text[text.index("\n", start) + 1 :])
    with pytest.raises(MaterialError, match=r"bad.toml:\d+: source of \[density\] is missing"):
        load_material(path)


def test_bare_value_is_told_to_bring_its_source(tmp_path):
    path = tmp_path / "bad.toml"
    path.write_text("density = 1700\n")
    with pytest.raises(MaterialError, match=r"bad.toml:1: density needs its source beside it, found 1700"):
        load_material(path)


@pytest.mark.parametrize(
    "text", ["[density", "[density]\n[density]\n", 'title = "a"\ntitle = "b"\n', "x = \n"]
)
def test_broken_toml_names_the_line(tmp_path, text):
    path = tmp_path / "bad.toml"
    path.write_text(text)
    with pytest.raises(MaterialError, match=r"bad.toml:\d+: the file is not valid TOML"):
        load_material(path)


def test_file_that_is_no_text(tmp_path):
    path = tmp_path / "bad.toml"
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(MaterialError, match="bytes that are not UTF-8; save the file as UTF-8"):
        load_material(path)


@pytest.mark.parametrize(
    ("name", "old", "new", "part"),
    [
        ("softwood", "[28.8]", "[28.8, 29.0]", "differ in length"),
        ("softwood", "[28.8]", "[20.0]", "must rise"),
        ("softwood", "relative_humidity_percent = [25.0", "relative_humidity_percent = [0.0", "understood"),
        ("softwood", "timber = true", 'timber = "yes"', "timber must be true or false"),
        ("en15026-annex-a", 'water_unit = "kg/m3"', 'water_unit = "%"', "water_unit"),
        ("en15026-annex-a", 'form = "exponential polynomial"', 'form = "absorption"', "needs a section"),
        ("en15026-annex-a", "p = 0.497", "p = 1.5", "between 0 and 1"),
        ("en15026-annex-a", "weights = [1.0]", "weights = [0.9]", "add up to 1"),
        ("hamstad-bm2", "a = 0.118", "a = -0.118", "above 0"),
        ("hamstad-bm2", "diffusivity_m2_s = 6e-10", "diffusivity_m2_s = 0.0", "above 0"),
        ("mineral-wool", "factor = 4.0", "factor = -4.0", "0 or more"),
        ("cement-mortar", "[0.42, 2.3, 5.3", "[0.42, 5.3, 2.3", "must rise"),
    ],
)
def test_slips_in_curves_are_named(tmp_path, name, old, new, part):
    assert part in refuse(tmp_path, old, new, name=name)


def test_storage_without_points(tmp_path):
    text = (DATA / "mineral-wool.toml").read_text()
    lines = [
        line for line in text.splitlines() if not line.startswith(("relative_humidity_percent", "water_mass"))
    ]
    path = tmp_path / "bad.toml"
    path.write_text("\n".join(lines))
    with pytest.raises(MaterialError, match="the storage curve has no points"):
        load_material(path)


@pytest.mark.parametrize(
    ("name", "old", "new", "part"),
    [
        ("foil", "value = 800.0", "value = -1.0", "not plausible"),
        ("foil", 'unit = "m"', 'unit = "mm"', "wrong unit"),
        ("foil", "value = false", 'value = "no"', "must be true or false"),
        ("foil", "title", "tittle", "title is missing"),
        ("foil", "[liquid_open]", "thick = 1\n[liquid_open]", "unknown key 'thick' in [s_d]"),
        ("membrane-humidity-dependent", "[10.0, 10.0", "[10.0", "one value per relative humidity"),
        ("membrane-humidity-dependent", "[10.0, 10.0", "[10.0, 0.0", "must be above 0"),
    ],
)
def test_slips_in_films_are_named(tmp_path, name, old, new, part):
    assert part in refuse(tmp_path, old, new, name=f"films/{name}", load=load_film)
