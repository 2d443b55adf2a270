"""The site sheet: one file that loads nothing, shows the figures, and escapes what the record says."""

import csv
import re
from pathlib import Path

import pytest
from report_page import Page

from hygro.climate import SiteFactors, load_weather
from hygro.report.site_sheet import write_site_sheet

COAST = Path(__file__).parents[2] / "climate" / "exposed-coast.csv"
SITE = SiteFactors(terrain="I", wall_factor=0.3)


@pytest.fixture(scope="module")
def weather():
    return load_weather(COAST)


@pytest.fixture(scope="module")
def written(weather, tmp_path_factory):
    return write_site_sheet(weather, SITE, tmp_path_factory.mktemp("site"))


@pytest.fixture(scope="module")
def text(written):
    return written[0].read_text(encoding="utf-8")


def test_headline_and_figures(text, written):
    shown = written[2]
    assert "SW is the wettest elevation" in text
    wettest = max(shown.elevations, key=lambda row: row.wall_index)
    assert f"A wall facing SW gets {wettest.wall_index:.0f} l/m²" in text
    assert f'<td>SW</td><td class="n">{wettest.airfield_index:.0f}</td>' in text
    assert "1118 <small>mm</small>" in text
    assert "C_R·C_T·O·W = 0.352" in text  # 0.17 ln(10/0.01) times 0.3
    assert "The record holds one year" in text


def test_it_needs_nothing_else(text):
    assert "<script" not in text
    assert not re.findall(r'(?:src|href)="(?!#)[^"]*"', text)
    assert "@import" not in text and "url(http" not in text
    assert text.count("<svg") == 6  # three pictures at two widths


def test_page_is_well_formed(text):
    page = Page(text)
    assert page is not None
    ids = re.findall(r'\bid="([^"]+)"', text)
    assert len(ids) == len(set(ids))


def test_same_record_same_files(weather, written, tmp_path):
    again = write_site_sheet(weather, SITE, tmp_path)
    assert again[0].read_bytes() == written[0].read_bytes()
    assert again[1].read_bytes() == written[1].read_bytes()


def test_table_holds_all_figures(written):
    rows = list(csv.DictReader(written[1].read_text(encoding="utf-8").splitlines()))
    of_part = {row["part"] for row in rows}
    assert of_part == {"year", "month", "wind from", "elevation", "finding"}
    found = [
        r for r in rows if (r["part"], r["name"], r["quantity"]) == ("elevation", "SW", "airfield_index")
    ]
    assert float(found[0]["value"]) == pytest.approx(1522.3, abs=0.05)
    assert len([r for r in rows if r["part"] == "month" and r["quantity"] == "rain"]) == 12


def test_what_the_record_says_is_escaped(weather, tmp_path):
    bad = weather.copy()
    bad.attrs = weather.attrs | {"name": "<script>alert(1)</script>", "source": "a & <b>"}
    text = write_site_sheet(bad, SITE, tmp_path)[0].read_text(encoding="utf-8")
    assert "<script" not in text
    assert "&lt;script&gt;" in text and "a &amp; &lt;b&gt;" in text


def test_findings_are_listed_worst_first(tmp_path):
    lines = COAST.read_text().splitlines()
    for row in range(2000, 2030):
        cells = lines[row].split(",")
        cells[1] = "4.3"
        lines[row] = ",".join(cells)
    path = tmp_path / "stuck.csv"
    path.write_text("\n".join(lines) + "\n")
    text = write_site_sheet(load_weather(path), SITE, tmp_path)[0].read_text(encoding="utf-8")
    assert "One thing in the record should be looked at" in text
    assert text.index("look like a stuck sensor") < text.index("is split from the global")


def test_without_rain(tmp_path):
    weather = load_weather(COAST, rain="none")
    text = write_site_sheet(weather, SITE, tmp_path)[0].read_text(encoding="utf-8")
    assert "A record without rain" in text
    assert "nothing here says how wet a wall gets" in text
    assert text.count("<svg") == 2


def test_southern_and_western_places(weather, tmp_path):
    south = weather.copy()
    south.attrs = weather.attrs | {"latitude": -33.9, "longitude": -70.5}
    assert "33.9° S, 70.5° W" in write_site_sheet(south, SITE, tmp_path)[0].read_text(encoding="utf-8")
