"""Resolved cases and digests."""

from __future__ import annotations

import json

from small_case import simple_material

from hygro.case import parse_case
from hygro.case.limits import LIMITS, MARGINS, SET_IN_CASE
from hygro.case.schema import CaseFile, LimitsSection
from hygro.materials import ThinLayer


def test_resolved_holds_every_default_and_survives_json(read):
    resolved = json.loads(json.dumps(read().resolved()))
    assert resolved["run"] == {
        "years": "until steady",
        "most_years": 10,
        "tolerance_percent_RH": 0.1,
        "accuracy": "standard",
        "start_month": 10,
    }
    assert resolved["site"]["uptake_share"] == 0.7
    assert resolved["wall"]["heat_coefficient_internal_W_m2K"] == 7.7
    assert resolved["external"] == {"kind": "climate"}


def test_resolved_loads_again_as_the_same_case(read):
    case = read()
    again = CaseFile.model_validate(json.loads(json.dumps(case.resolved())))
    assert again.model_dump(exclude={"limits"}) == case.spec.model_dump(exclude={"limits"})
    assert again.limits.values() == case.limits()
    assert again.limits.sources == case.limit_sources()


def test_digest_ignores_comments_order_and_place(read, text, tmp_path, own_materials, own_films):
    case = read()
    moved = text.replace(
        'weather = "weather.csv"\nelevations = ["SW", "N"]',
        'elevations = ["SW", "N"]\nweather = "weather.csv"',
    )
    assert moved != text
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "weather.csv").write_text("hour_ending_utc\n")
    other = parse_case(
        f"# remark\n{moved}", tmp_path / "elsewhere" / "b.toml", materials=own_materials, films=own_films
    )
    assert other.digest() == case.digest()
    assert len(case.digest()) == 64


def test_digest_follows_values(read, text):
    digests = {
        read(changed).digest()
        for changed in (
            text,
            text.replace("225", "226"),
            text.replace('"SW", "N"', '"SW", "S"'),
            text.replace("[wall]", "[limits]\ntimber_percent = 19\n[wall]"),
            text.replace("[40, 80]", "[40, 81]"),
        )
    }
    assert len(digests) == 5


def test_digest_follows_the_content_of_files(read, tmp_path):
    before = read().digest()
    (tmp_path / "weather.csv").write_text("another year\n")
    assert read().digest() != before


def test_digest_follows_materials_made_in_python(read, text, tmp_path, own_materials, own_films):
    heavier = {**own_materials, "brick": simple_material("brick", density=1700.0)}
    before = read()
    after = parse_case(text, before.path, materials=heavier, films=own_films)
    assert after.digest() != before.digest()


def test_digest_follows_films_made_in_python(read, own_materials):
    before = read()
    tighter = {"paint": ThinLayer.from_resistance("paint", 0.2, liquid_open=False)}
    after = parse_case(before.source_text, before.path, materials=own_materials, films=tighter)
    assert after.digest() != before.digest()


def test_a_stated_default_is_the_same_case(read, text):
    stated = text.replace("[wall]", '[limits]\ntimber_percent = 20\n[run]\nyears = "until steady"\n[wall]')
    assert read(stated).digest() == read().digest()


def test_limits_of_the_schema_are_those_of_the_table(read):
    section = LimitsSection()
    assert section.values() == {limit.key: limit.value for limit in LIMITS + MARGINS}
    assert set(LimitsSection.model_fields) == {limit.key for limit in LIMITS + MARGINS} | {"sources"}
    assert all(limit.source and limit.meaning and 0 < limit.value <= limit.most for limit in LIMITS + MARGINS)


def test_each_limit_says_where_it_comes_from(read, text):
    case = read(
        text.replace(
            "[wall]",
            "[limits]\ntimber_percent = 18\nmould_index_surface = 0.5\n"
            'sources = {mould_index_surface = "asked for by the owner"}\n[wall]',
        )
    )
    sources = case.limit_sources()
    assert sources["timber_percent"] == SET_IN_CASE
    assert sources["mould_index_surface"] == "asked for by the owner"
    assert "WTA 6-4" in sources["interface_relative_humidity_percent"]
    assert case.limits()["timber_percent"] == 18.0


def test_hours_replace_years_and_start_as_recorded(read, text):
    case = read(text.replace("[wall]", "[run]\nhours = 240\n[wall]"))
    run = case.resolved()["run"]
    assert run["hours"] == 240
    assert "years" not in run
    assert run["start_month"] == "as recorded"
