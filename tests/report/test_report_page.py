"""The page as a whole: one file, nothing to load, well formed, everything a client reads in its order."""

import re

import pytest
from report_page import Page
from report_study import BUILD_UP, case_table, change_verdicts, write_study

from hygro.errors import ResultError
from hygro.report import write_report
from hygro.report.inputs import read_inputs

LOADING = ("src", "href", "xlink:href", "action", "data", "poster", "srcset")


def test_parts_come_in_the_order_a_client_reads(page):
    headings = (
        "How thick may the insulation be?",
        "Answers",
        "Heat against moisture",
        "Where and when the wall is wet",
        "The place that governs, day by day",
        "All variants",
        "The wall and the build-ups in section",
        "Site and climate",
        "Assumptions",
        "Materials, and how sure their data are",
        "Sources and references",
        "Cautions",
        "How this was made",
    )
    places = [page.text.index(heading) for heading in headings]
    assert places == sorted(places)


def test_nothing_is_loaded_and_nothing_runs(page):
    for name in LOADING:
        for value in page.values(name):
            assert value.startswith(("#", "data:image/png;base64,")), value
    assert not {"script", "link", "iframe", "object", "embed", "form"} & page.tags()
    assert not [key for _, attrs in page.elements for key in attrs if key.startswith("on")]
    assert "@import" not in page.html
    assert re.findall(r"url\(([^#)][^)]*)\)", page.html) == []
    assert "http://" not in page.html
    assert "https://" not in page.html


def test_elements_close_and_ids_are_unique(page):
    assert page.stray == []
    assert page.open == []
    identifiers = page.values("id")
    assert len(identifiers) == len(set(identifiers))


def test_references_within_figures_find_their_element(page):
    known = set(page.values("id"))
    wanted = set(re.findall(r"url\(#([^)]+)\)", page.html))
    wanted |= {value[1:] for value in page.values("href") if value.startswith("#")}
    assert wanted  # clip paths and markers are there
    assert wanted <= known


def test_figures_scale_and_say_what_they_show(page):
    drawings = [attrs for tag, attrs in page.elements if tag == "svg" and "aria-hidden" not in attrs]
    assert len(drawings) >= 2 * 4 + 2  # curve, map, two histories at two widths; two sections
    for attrs in drawings:
        assert attrs["viewbox"]
        assert attrs["aria-label"]
        assert "width" not in attrs


def test_the_file_is_small_enough_to_send(study):
    assert write_report(study).stat().st_size < 3_000_000


def test_the_same_assessment_gives_the_same_bytes(study):
    first = write_report(study).read_bytes()
    assert write_report(str(study)).read_bytes() == first
    assert [path.name for path in study.iterdir() if path.name.startswith(".")] == []


def test_answers_are_those_of_the_assessment(study, page):
    for answer in read_inputs(study).answers:
        assert answer.build_up == BUILD_UP
        best = answer.greatest_within_mm or answer.greatest_marginal_mm
        words = "no thickness stays below every limit" if best is None else f"up to {best:g} mm"
        section = page.text.split("How thick may")[1].split("Answers")[0]
        part = section.split(f"({answer.elevation_name})")[1].split("Facing")[0]
        assert words in part


def test_every_variant_has_a_row_with_its_state_in_words(study, page):
    table = page.text.split("All variants")[1].split("in section")[0]
    verdicts = read_inputs(study).verdicts
    for state in ("within", "marginal", "exceeded"):
        told = sum(verdict.state == state for verdict in verdicts)
        # The note above the tables says "exceeded" once more.
        assert len(re.findall(rf"\b{state}\b", table)) == told + (state == "exceeded")
    assert page.html.count('scope="rowgroup" class="group"><span>') == 4  # bare wall and build-up, twice


def test_states_differ_in_shape_and_not_in_colour_alone(page):
    def drawing(state):
        return set(re.findall(rf'class="c-{state}">(.*?)</svg>', page.html, re.DOTALL))

    shapes = [drawing(state) for state in ("within", "marginal", "exceeded")]
    assert [len(found) for found in shapes] == [1, 1, 1]
    assert len(set.union(*shapes)) == 3


def test_rain_limits_and_sources_are_told(page):
    assert "380" in page.text.split("Site and climate")[1]
    assert "266" in page.text.split("Site and climate")[1]  # 0.7 of it is taken up
    assert "simplified procedure of WTA 6-4" in page.text
    assert "Terrain category of ISO 15927-3" in page.text
    assert "Hukka and Viitanen 1999, Wood Science and Technology 33, 475-485" in page.text


def test_what_is_from_memory_is_marked(page):
    materials = page.text.split("how sure their data are")[1].split("Sources and references")[0]
    assert "▲ 1" in materials
    assert "▲ memory" in materials
    assert "boards of this kind" in materials
    assert "partly from memory" in materials  # the board's grade, beside its name
    assert "composite of sources" in materials  # the brick's


@pytest.mark.parametrize(
    "topic",
    [
        "Joist ends",
        "carbon monoxide",
        "asbestos",
        "lead",
        "one-dimensional",
        "listed-building",
        "gutters",
        "Fire",
        "Cables",
        "ventilation",
        "licensed professional",
    ],
)
def test_cautions_name(page, topic):
    assert topic in page.text.split("Cautions")[1]


def test_texts_of_the_case_are_escaped(tmp_path):
    nasty = '<script>alert("1")</script> & $x$ <b>'
    table = case_table(thicknesses=(40.0,), elevations=("SW",), title=nasty, description=nasty)
    table["build_up"][0]["name"] = nasty
    table["site"]["weather"] = nasty
    material = {"name": nasty, "title": nasty, "digest": nasty, "sources": [
        {"key": nasty, "value": nasty, "source": nasty, "kind": "memory"}]}  # fmt: skip
    write_study(tmp_path, table, materials=[material])
    page = Page(write_report(tmp_path).read_text(encoding="utf-8"))
    assert "script" not in page.tags()
    assert "b" in page.tags()  # our own, in the list of answers
    assert page.html.count("<b>") == 1
    assert nasty in page.text
    assert page.stray == []


def test_one_bare_wall_without_answers(tmp_path):
    write_study(tmp_path, case_table(thicknesses=(), elevations=("N",)))
    page = Page(write_report(tmp_path).read_text(encoding="utf-8"))
    assert "No build-up is in the case" in page.text
    assert "Heat against moisture" not in page.text
    assert "Where and when the wall is wet" in page.text


def test_failed_variants_are_told_and_the_rest_stands(tmp_path):
    slug = "wood-fibre-rigid-080mm-SW"
    write_study(tmp_path, case_table(elevations=("SW",)), failing=(slug,))
    page = Page(write_report(tmp_path).read_text(encoding="utf-8"))
    assert "1 could not be computed" in page.text
    assert "the march could not go on, found 'no step'." in page.text
    assert "Heat against moisture" in page.text


def test_all_variants_failed(tmp_path):
    table = case_table(thicknesses=(40.0,), elevations=("N",))
    write_study(tmp_path, table, failing=("bare-wall-N", "wood-fibre-rigid-040mm-N"))
    page = Page(write_report(tmp_path).read_text(encoding="utf-8"))
    assert "No wall was computed." in page.text
    assert "not known, the computation failed" in page.text


def test_walls_that_are_not_steady_are_told(tmp_path, page):
    assert "All 8 walls came to repeat themselves from year to year" in page.text
    write_study(tmp_path, case_table(elevations=("N",)), steady_year=0)
    other = Page(write_report(tmp_path).read_text(encoding="utf-8"))
    assert "4 of 4 walls did not come to repeat themselves" in other.text


def test_missing_directory_and_broken_files_get_one_sentence(tmp_path, study):
    with pytest.raises(ResultError, match=r"no assessment to report, expected verdicts\.json"):
        write_report(tmp_path / "nowhere")
    (tmp_path / "verdicts.json").write_text("{", encoding="utf-8")
    with pytest.raises(ResultError, match="cannot be read"):
        write_report(tmp_path)
    (tmp_path / "verdicts.json").write_text("[]", encoding="utf-8")
    with pytest.raises(ResultError, match="expected a JSON object"):
        write_report(tmp_path)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda d: d.pop("answers"), "lack the list 'answers'"),
        (lambda d: d.update(verdicts=[]), "no verdict to report"),
        (lambda d: d["verdicts"][0].pop("margin"), "unknown key 'margin'"),
        (lambda d: d["verdicts"][0].update(colour="red"), "unknown key 'colour'"),
        (lambda d: d["verdicts"][0].update(slug="other"), "belongs to no variant"),
        (lambda d: d["case_resolved"].pop("wall"), "case in the verdicts is unusable at wall"),
        (lambda d: d["verdicts"][0].update(build_up="other"), "does not belong to the verdict"),
        (lambda d: d["verdicts"][0].update(run_file="runs/none.nc"), "no such result file"),
        (lambda d: d["answers"].append(3), "an answer is unusable"),
    ],
)
def test_verdicts_that_do_not_fit_get_one_sentence(tmp_path, change, message):
    write_study(tmp_path, case_table(thicknesses=(40.0,), elevations=("N",)), years=1)
    change_verdicts(tmp_path, change)
    with pytest.raises(ResultError, match=message):
        write_report(tmp_path)
    assert not (tmp_path / "report.html").exists()
