"""docs/case-file.md names every key with its default, and nothing else; its examples run."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest
from pydantic_core import PydanticUndefined

from hygro.case import load_case, parse_case
from hygro.case.base import Section
from hygro.case.boundaries import BoundarySection
from hygro.case.limits import LIMITS, MARGINS
from hygro.case.programme import ProgrammeRoom, ProgrammeSection
from hygro.case.room import BalanceSection, RoomSection
from hygro.case.run import GridSection, OutputSection, PhysicsSection, RunSection
from hygro.case.schema import CaseFile, LimitsSection
from hygro.case.site import SiteSection
from hygro.case.sources import LeakSection, RainPenetrationSection, SourceSection
from hygro.case.walls import BuildUpSection, LayerSection, PartSection, ProbeSection, WallSection
from hygro.model.series import COLUMNS

ROOT = Path(__file__).resolve().parents[2]
DOC = (ROOT / "docs" / "case-file.md").read_text(encoding="utf-8")

SECTIONS = {
    "The case": CaseFile,
    "[site]": SiteSection,
    "[room]": RoomSection,
    "[room.balance]": BalanceSection,
    "[wall]": WallSection,
    "[[wall.layer]] and [[build_up.layer]]": LayerSection,
    "[[wall.layer]] mixed": PartSection,
    "[[build_up]]": BuildUpSection,
    "[[probe]]": ProbeSection,
    "[[source]]": SourceSection,
    "[[leak]]": LeakSection,
    "[[rain_penetration]]": RainPenetrationSection,
    "[programme]": ProgrammeSection,
    "[run]": RunSection,
    "[grid]": GridSection,
    "[output]": OutputSection,
    "[physics]": PhysicsSection,
    "[limits]": LimitsSection,
    "[external] and [internal]": BoundarySection,
}


def rows(heading: str) -> dict[str, str]:
    """Return the keys under a heading with their defaults as written."""
    body = DOC.split(f"\n## {heading}\n", 1)[1].split("\n## ", 1)[0]
    return dict(re.findall(r"^\| `(\w+)` \| ([^|]+) \|", body, flags=re.MULTILINE))


def written_default(field) -> str:
    default = field.get_default(call_default_factory=True)
    if default is PydanticUndefined:
        return "needed"
    if default is None:
        return "–"
    if isinstance(default, Section):
        return "its defaults"
    return f"`{json.dumps(default)}`"


@pytest.mark.parametrize("heading", SECTIONS)
def test_every_key_is_described_with_its_default(heading):
    fields = SECTIONS[heading].model_fields
    expected = {field.alias or name: written_default(field) for name, field in fields.items()}
    assert rows(heading) == expected


def test_a_room_of_the_programme_has_a_name_beside_the_keys_of_the_room():
    own = set(ProgrammeRoom.model_fields) - set(RoomSection.model_fields)
    assert rows("[[programme.room]]") == {"name": "needed"}
    assert own == {"name"}


def test_every_key_of_the_schema_has_a_description_for_errors():
    for section in SECTIONS.values():
        assert all(field.description for field in section.model_fields.values()), section


def test_every_column_of_a_boundary_file_is_named():
    assert all(f"`{column}`" in DOC for column in COLUMNS)


def test_limits_of_the_document_name_the_sources_of_the_table():
    for limit in LIMITS + MARGINS:
        line = next(line for line in DOC.splitlines() if line.startswith(f"| `{limit.key}`"))
        source = re.search(r"WTA 6-\d|ASHRAE|Ojanen|Hukka|hygrometer", limit.source)
        assert source is not None
        assert source.group() in line


def test_the_example_loads():
    (example,) = re.findall(r"```toml\n(.*?)```", DOC, flags=re.DOTALL)
    case = parse_case(example, ROOT / "cases" / "example.toml")
    assert len(case.variants()) == 8
    assert "bare-wall-SW" in DOC
    assert case.variant("wood-fibre-rigid-060mm-SW").thickness_mm == 60.0


def test_the_python_example_runs(monkeypatch):
    monkeypatch.chdir(ROOT)
    (example,) = re.findall(r"```python\n(.*?)```", DOC, flags=re.DOTALL)
    names: dict = {}
    exec(compile(example, "case-file.md", "exec"), names)
    assert names["case"].digest() == load_case(os.path.join("cases", "first-look.toml")).digest()
