"""Render docs/verification.md from what the tests declare and what they measured."""

import importlib.util
import os
import sys

from verification import KINDS, RECORDS, REGISTRY, ROOT, SUBJECTS

PAGE = ROOT / "docs" / "verification.md"
TEMPLATE = ROOT / "tests" / "verification_template.md"
FOLDERS = ("reference", "witness", "properties")
HEADER = "| check | reference | ours | difference | tolerance | why |"
UNKNOWN = "*"


def load_tests():
    """Import every test module of the folders, so that all declarations are known."""
    for folder in FOLDERS:
        directory = ROOT / "tests" / folder
        if str(directory) not in sys.path:
            sys.path.insert(0, str(directory))
        for path in sorted(directory.glob("test_*.py")):
            if path.stem not in sys.modules:
                spec = importlib.util.spec_from_file_location(path.stem, path)
                sys.modules[path.stem] = module = importlib.util.module_from_spec(spec)
                spec.loader.exec_module(module)


def number(value):
    return f"{value:.5g}"


def size(value, check):
    """A difference or tolerance with its unit."""
    if check.relative:
        return f"{100.0 * value:.2g} %"
    return f"{value:.2g} {check.unit}".rstrip()


def reference_of(check):
    if isinstance(check.reference, str):
        return check.reference
    if isinstance(check.reference, tuple):
        low, high = min(check.reference), max(check.reference)
        if len(check.reference) <= 6:
            return f"{', '.join(map(number, check.reference))} {check.unit}".rstrip()
        return f"{len(check.reference)} values, {number(low)} to {number(high)} {check.unit}".rstrip()
    return f"{number(check.reference)} {check.unit}".rstrip()


def row(check, record):
    """One line of a table; what was measured is unknown without a record."""
    ours, difference = UNKNOWN, UNKNOWN
    if record is not None:
        ours = number(record.ours)
        if not isinstance(check.reference, float | int):
            ours += f" for {number(record.reference)}"
        difference = size(record.difference, check)
    cells = (check.what, reference_of(check), ours, difference, size(check.tolerance, check), check.why)
    assert not any("|" in cell for cell in cells)
    return f"| {' | '.join(cells)} |"


def section(entry, records):
    """Heading, sentences and table of one test."""
    slow = " (slow)" if entry.slow else ""
    lines = [f"### {entry.title}", "", entry.shows, ""]
    lines += [f"Reference, {KINDS[entry.kind]}: {entry.source}  ", f"Test: `{entry.place}`{slow}", ""]
    lines += [HEADER, "|---|---|---|---|---|---|"]
    lines += [row(check, records.get((entry.place, check.what))) for check in entry.checks]
    return lines


def render(records):
    """The page as text."""
    entries = sorted(
        REGISTRY.values(), key=lambda e: (e.place.split("::")[0], e.function.__code__.co_firstlineno)
    )
    text = TEMPLATE.read_text(encoding="utf-8")
    for subject, heading in SUBJECTS.items():
        lines = [f"## {heading}", ""]
        mark, intro_end = f"<!-- {subject}", "-->"
        begin = text.index(mark)
        end = text.index(intro_end, begin)
        intro = text[begin + len(mark) : end].strip()
        lines += [intro, ""] if intro else []
        for entry in entries:
            if entry.subject == subject:
                lines += [*section(entry, records), ""]
        text = text[:begin] + "\n".join(lines).rstrip() + text[end + len(intro_end) :]
    counts = f"{sum(len(e.checks) for e in entries)} checks in {len(entries)} tests"
    return text.replace("<!-- count -->", counts)


def masked(line):
    """A line of the page without what was measured."""
    cells = line.split(" | ")
    if line.startswith("| ") and len(cells) == 6 and line != HEADER:
        cells[2] = cells[3] = UNKNOWN
    return " | ".join(cells)


def write():
    """Write the page whole or not at all."""
    missing = [e.place for e in REGISTRY.values() for c in e.checks if (e.place, c.what) not in RECORDS]
    if missing:
        raise SystemExit(f"not measured, so the page is not written: {sorted(set(missing))}")
    temporary = PAGE.with_suffix(".md.new")
    temporary.write_text(render(RECORDS), encoding="utf-8")
    os.replace(temporary, PAGE)
