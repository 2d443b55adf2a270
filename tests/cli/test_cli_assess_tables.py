"""What `hygro assess` prints, from verdicts that are made up."""

from pathlib import Path

import pytest
from synthetic_wall import raw_result

from hygro.case.variants import BARE_WALL
from hygro.cli import assess as command_module
from hygro.cli.assess import _answer_row, _print_matrix, _print_notes, _progress
from hygro.cli.summary import print_summary, summary_of
from hygro.decide.answers import answers_of
from hygro.decide.assessment import Assessment
from hygro.decide.verdict import Verdict, with_heat_saved
from hygro.results.dataset import build_dataset
from hygro.scores.states import Score


def verdict(state, thickness_mm, build_up="wood fibre", elevation=225.0, loss=40.0):
    """A verdict that timber decides."""
    value = {"within": 15.0, "marginal": 19.0, "exceeded": 21.0}.get(state, 0.0)
    score = Score(
        "timber_moisture_content", "joist end", value, "% by mass", 20.0, "a handbook", state, "", ""
    )
    failed = state == "unknown"
    return Verdict(
        slug=f"{build_up}-{thickness_mm}-{elevation:g}",
        build_up=build_up,
        thickness_mm=thickness_mm,
        elevation=elevation,
        elevation_name="SW" if elevation == 225.0 else "N",
        status="failed" if failed else "complete",
        message="the march could not go on." if failed else "",
        state=state,
        governing=None if failed else score,
        margin=None,
        u_value=None if failed else 0.456,
        year_heat_loss=None if failed else loss,
        heat_saved=None,
        heat_saved_percent=None,
        interface="",
        interface_humidity_mean=None,
        interface_humidity_most=None,
        rain_on_wall=None,
        rain_uptake=None,
        water_trend="",
        scores=(),
        years=None,
        steady=False,
        seconds=None,
        run_file="",
        reused=False,
    )


def assessment(*verdicts):
    found = with_heat_saved(verdicts)
    return Assessment("A wall", "", "wall.toml", "", {}, {}, {}, "", Path("out"), found, answers_of(found))


def row(*verdicts):
    found = assessment(*verdicts)
    (answer,) = found.answers
    return _answer_row(answer, {v.slug: v for v in found.verdicts})


BARE = verdict("within", None, BARE_WALL, loss=100.0)


def test_a_row_says_how_thick_what_is_saved_and_what_stops_the_next():
    cells = row(BARE, verdict("within", 40.0), verdict("marginal", 60.0), verdict("exceeded", 80.0))
    assert cells[:6] == ["wood fibre", "SW", "40 mm", "60 mm", "0.46", "60 kWh/(m2 a), 60 %"]
    assert cells[6] == "60 mm marginal: moisture content of timber at joist end 19.0 % by mass, limit 20"


def test_a_marginal_row_says_what_makes_it_so_and_what_comes_next():
    cells = row(BARE, verdict("marginal", 40.0), verdict("exceeded", 60.0))
    assert cells[2:4] == ["none", "40 mm"]
    assert cells[6].startswith("40 mm marginal: moisture content of timber")
    assert "; 60 mm exceeded: moisture content of timber" in cells[6]


def test_a_row_without_any_thickness_says_none():
    cells = row(BARE, verdict("exceeded", 40.0))
    assert cells[2:6] == ["none", "none", "-", "-"]
    assert cells[6].startswith("40 mm exceeded: ")


def test_a_row_of_a_failed_variant_says_unknown():
    cells = row(BARE, verdict("unknown", 40.0), verdict("within", 60.0))
    assert cells[2:4] == ["unknown", "unknown"]
    assert cells[6] == "40 mm could not be computed"


def test_a_row_where_all_pass_has_nothing_that_governs():
    assert row(BARE, verdict("within", 40.0))[6] == "-"


def test_a_build_up_as_drawn_is_called_so():
    assert row(BARE, verdict("within", None))[2:4] == ["as drawn", "as drawn"]


def test_the_matrix_has_a_row_a_build_up_and_elevation_and_a_column_a_thickness(capsys):
    plaster = "insulating plaster"
    _print_matrix(
        assessment(
            BARE,
            verdict("within", 40.0),
            verdict("exceeded", 80.0),
            verdict("marginal", 60.0, plaster),
            verdict("unknown", 40.0, elevation=0.0),
        )
    )
    lines = capsys.readouterr().out.splitlines()
    heading = next(line for line in lines if "elevation" in line)
    starts = [heading.index(words) for words in ("as drawn", "40 mm", "60 mm", "80 mm")]
    assert starts == sorted(starts)
    bare = next(line for line in lines if "bare wall" in line)
    fibre, north = (line for line in lines if "wood fibre" in line)
    mixed = next(line for line in lines if plaster in line)
    assert bare.index("within") < heading.index("40 mm")
    assert heading.index("40 mm") <= fibre.index("within") < heading.index("60 mm")
    assert fibre.index("exceeded") > heading.index("80 mm")
    assert heading.index("60 mm") <= mixed.index("marginal") < heading.index("80 mm")
    assert "? failed" in north


def test_a_note_that_holds_for_several_is_printed_once(capsys):
    wet = verdict("exceeded", None, BARE_WALL, loss=100.0)
    _print_notes(assessment(wet, verdict("exceeded", 40.0), verdict("exceeded", 40.0, "plaster")))
    (line,) = (line for line in capsys.readouterr().out.splitlines() if line)
    assert line.startswith("note: the bare wall exceeds a limit by itself")
    assert line.endswith("(wood fibre, SW; plaster, SW)")


def test_without_notes_nothing_is_printed(capsys):
    _print_notes(assessment(BARE, verdict("within", 40.0), verdict("exceeded", 60.0)))
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize("terminal", [True, False])
def test_a_progress_bar_appears_on_terminals_only(monkeypatch, terminal):
    monkeypatch.setattr(command_module.sys.stderr, "isatty", lambda: terminal, raising=False)
    with _progress() as progress:
        assert (progress is not None) is terminal
        if progress is not None:
            progress(1, 3, BARE)


def test_a_summary_has_the_last_year_of_places_and_every_year():
    dataset = build_dataset(raw_result(8760 + 24, temperature=5.0, humidity=0.7))
    found = summary_of(dataset)
    assert [year["hours"] for year in found["years"]] == [8760.0, 24.0]
    assert {round(place["mean_RH_percent"], 6) for place in found["places"]} == {70.0}
    assert {round(place["lowest_temperature_C"], 6) for place in found["places"]} == {5.0}
    assert found["years"][0]["rain_on_wall_kg_m2"] == pytest.approx(3e-6 * 8760 * 3600)
    assert found["thickness_mm"] is None


def test_a_printed_summary_names_places_and_balances(capsys):
    print_summary(summary_of(build_dataset(raw_result(48))))
    printed = capsys.readouterr().out
    assert "mortar | insulation" in printed
    assert "1.0e-09" in printed
