"""Walk the schema: every key misspelt, of the wrong kind, or changed; and texts torn at random."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_case import TEXT, simple_films, simple_materials

from hygro.case import parse_case
from hygro.case.boundaries import BoundarySection
from hygro.case.room import RoomSection
from hygro.case.run import GridSection, OutputSection, PhysicsSection, RunSection
from hygro.case.schema import CaseFile, LimitsSection
from hygro.case.site import SiteSection
from hygro.case.walls import BuildUpSection, LayerSection, ProbeSection, WallSection
from hygro.errors import CaseError, HygroError

TABLES = {
    "[site]": SiteSection,
    "[room]": RoomSection,
    "[wall]": WallSection,
    "[[wall.layer]]": LayerSection,
    "[[build_up]]": BuildUpSection,
    "[[build_up.layer]]": LayerSection,
    "[[probe]]": ProbeSection,
    "[run]": RunSection,
    "[grid]": GridSection,
    "[output]": OutputSection,
    "[physics]": PhysicsSection,
    "[limits]": LimitsSection,
    "[external]": BoundarySection,
    "[internal]": BoundarySection,
}
KEYS = [
    (table, field.alias or name)
    for table, section in TABLES.items()
    for name, field in section.model_fields.items()
]
PROBED = f'{TEXT}\n[[probe]]\nname = "joist"\ndepth_mm = 100\n'
MATERIALS, FILMS = simple_materials(), simple_films()


def with_line(table: str, line: str) -> tuple[str, int]:
    """Put a line under the first head of a table, added where it is not there; say where it stands."""
    text = PROBED if table in PROBED else f"{PROBED}\n{table}\n"
    rows = text.split("\n")
    row = rows.index(table)
    rows.insert(row + 1, line)
    return "\n".join(rows), row + 2


def refused(text: str, folder: Path) -> str:
    with pytest.raises(CaseError) as caught:
        parse_case(text, folder / "wall.toml", materials=MATERIALS, films=FILMS)
    return str(caught.value)


@pytest.mark.parametrize(("table", "key"), KEYS)
def test_every_key_misspelt_is_pointed_at_with_the_key_that_was_meant(table, key, tmp_path):
    typo = key[:-1] + key[-1] * 2 if len(key) < 6 else key[:2] + key[3:]
    text, line = with_line(table, f"{typo} = 1")
    sentence = refused(text, tmp_path)
    assert f"wall.toml:{line}: unknown key {typo!r} in {table}; did you mean {key!r}" in sentence


@pytest.mark.parametrize(("table", "key"), KEYS)
def test_every_key_refuses_a_date_in_one_sentence_with_its_line(table, key, tmp_path):
    """No key is a date, so that each must refuse it; nothing of the schema library shows."""
    text, line = with_line(table, f"{key} = 2001-01-01")
    if text.count(f"\n{key} = ") > PROBED.count(f"\n{key} = "):  # may now stand twice in the table
        rows = text.split("\n")
        end = next((i for i in range(line, len(rows)) if rows[i].startswith("[")), len(rows))
        text = "\n".join(r for i, r in enumerate(rows) if not (line <= i < end and r.startswith(f"{key} = ")))
    if key == "layer":  # the tables below would give it a second time
        text = re.sub(rf"(?ms)^\[\[{re.escape(table.strip('[]'))}\.layer\]\]\n.*?(?=^\[|\Z)", "", text)
    sentence = refused(text, tmp_path)
    assert f"wall.toml:{line}: {key!r} in {table} " in sentence
    assert "Input should" not in sentence
    assert "\n" not in sentence


NUMBERS = [
    (table, field.alias or name, field.default)
    for table, section in TABLES.items()
    for name, field in section.model_fields.items()
    if isinstance(field.default, float)
]


@pytest.mark.parametrize(("table", "key", "default"), NUMBERS)
def test_every_number_counts_in_the_resolved_case_and_the_digest(read, table, key, default):
    text, _ = with_line(table, f"{key} = {0.9 * default!r}")
    changed = read(text)
    assert changed.digest() != read().digest()
    assert changed.resolved()[table.strip("[]")][key] == pytest.approx(0.9 * default)


@given(data=st.data())
@settings(max_examples=150, deadline=None)
def test_a_torn_text_is_refused_in_one_sentence_or_accepted(data, tmp_path_factory):
    """Cut a piece out or put one in, anywhere: whatever comes of it, only errors of our own come out."""
    folder = tmp_path_factory.getbasetemp()
    (folder / "weather.csv").touch()
    start = data.draw(st.integers(0, len(TEXT)))
    end = data.draw(st.integers(start, min(start + 40, len(TEXT))))
    piece = data.draw(
        st.sampled_from(["", "[", "]]", '"', "=", "\n", " = 1", "nan", "[a]\n", "'''", "{", "\x00", "-"])
    )
    text = TEXT[:start] + piece + TEXT[end:]
    try:
        case = parse_case(text, folder / "wall.toml", materials=MATERIALS, films=FILMS)
    except HygroError as error:
        assert "\n" not in str(error)
        assert re.search(r"wall\.toml:\d+: ", str(error))
        assert int(re.search(r"wall\.toml:(\d+)", str(error)).group(1)) <= text.count("\n") + 1
    else:
        assert len({variant.slug for variant in case.variants()}) == len(case.variants())
        assert CaseFile.model_validate(case.resolved()).wall == case.spec.wall
        assert tomllib.loads(text)
