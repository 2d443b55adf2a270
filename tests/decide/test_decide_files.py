import csv
import io
import json
from dataclasses import replace

import pytest

from hygro.decide.answers import answers_of
from hygro.decide.assessment import Assessment
from hygro.decide.files import csv_text, document, write_verdicts


@pytest.fixture
def assessment(make_verdict, make_bare, tmp_path):
    verdicts = (make_bare(), make_verdict("within", 40.0), make_verdict("unknown", 60.0))
    return Assessment(
        title="A wall",
        description="invented",
        case_file="wall.toml",
        case_sha256="0" * 64,
        case_resolved={"title": "A wall"},
        limits={"timber_percent": {"value": 20.0, "source": "a handbook", "meaning": "of timber"}},
        versions={"hygro": "0.1.0"},
        source="hygro 0.1.0",
        out_dir=tmp_path / "out",
        verdicts=verdicts,
        answers=answers_of(verdicts),
    )


def rows(text):
    return list(csv.DictReader(io.StringIO(text)))


def test_what_is_not_known_is_an_empty_cell(assessment):
    table = rows(csv_text(assessment.verdicts))
    assert [row["status"] for row in table] == ["complete", "complete", "failed"]
    assert (table[2]["margin"], table[2]["u_value_W_m2K"], table[2]["governing"]) == ("", "", "")
    assert table[2]["message"] == "the march could not go on."
    assert (table[0]["thickness_mm"], table[1]["thickness_mm"]) == ("", "40")


def test_names_with_commas_quotes_and_umlauts_survive(make_verdict):
    name = 'Holzfaser, "weich" für außen'
    verdict = replace(make_verdict("within", 40.0), build_up=name)
    assert rows(csv_text([verdict]))[0]["build_up"] == name


def test_numbers_keep_seven_digits(make_verdict):
    verdict = replace(make_verdict("within", 40.0), margin=0.123456789, u_value=1e-9)
    (row,) = rows(csv_text([verdict]))
    assert (row["margin"], float(row["u_value_W_m2K"])) == ("0.1234568", 1e-9)


def test_the_trend_is_given_in_words_and_as_a_number(make_verdict, make_score):
    change = make_score("marginal", 2.5, limit=1.0, name="wall_water_change")
    verdict = replace(make_verdict("within", 40.0), water_trend="accumulates", scores=(change,))
    (row,) = rows(csv_text([verdict]))
    assert (row["water_trend"], row["water_change_percent_a"]) == ("accumulates", "2.5")


def test_the_document_survives_json(assessment):
    data = json.loads(json.dumps(document(assessment), allow_nan=False))
    assert list(data) == [
        "title",
        "description",
        "case_file",
        "case_sha256",
        "source",
        "versions",
        "limits",
        "answers",
        "verdicts",
        "case_resolved",
    ]
    assert data["verdicts"][1]["governing"]["place"] == "joist end"
    assert data["answers"][0]["states"] == ["within", "unknown"]


def test_both_files_are_written_and_replaced_whole(assessment):
    write_verdicts(assessment)
    write_verdicts(replace(assessment, title="Another wall"))
    assert json.loads(assessment.json_path.read_text(encoding="utf-8"))["title"] == "Another wall"
    assert sorted(path.name for path in assessment.out_dir.iterdir()) == ["verdicts.csv", "verdicts.json"]


def test_failed_and_reused_are_counted(assessment):
    assert [verdict.thickness_mm for verdict in assessment.failed] == [60.0]
    assert assessment.reused == 0
    reused = tuple(replace(verdict, reused=True) for verdict in assessment.verdicts)
    assert replace(assessment, verdicts=reused).reused == 3
