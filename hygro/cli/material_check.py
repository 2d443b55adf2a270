"""`hygro materials check`: whether a material can be believed, and whether its tests give its own numbers."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import click

from hygro.cli.options import json_option
from hygro.cli.output import print_json, print_table, state_words

if TYPE_CHECKING:
    from hygro.materials import Material
    from hygro.materials.plausibility import Finding
    from hygro.results.laboratory_bench import LabResult


@click.command("check")
@click.argument("names", metavar="FILE|NAME...", nargs=-1, required=True)
@json_option
def command(names: tuple[str, ...], as_json: bool) -> None:
    """Check materials: plausibility, and simulated laboratory tests against what each states.

    Water uptake, dry and wet cup, drying, sorption and thermal conductivity are marched by the solver of
    walls. Ends with exit code 3 if anything is doubtful or a test misses what the material states.

    \b
    Example:
      hygro materials check solid-brick ./my-brick.toml
    """  # noqa: D301
    from hygro.errors import MaterialError
    from hygro.materials import load_material
    from hygro.materials.plausibility import plausibility
    from hygro.results.laboratory import laboratory

    failing, data = [], []
    for name in names:
        material = load_material(name)
        findings, results = plausibility(material), laboratory(material)
        if not all(each.plausible for each in findings) or not all(each.agrees for each in results):
            failing.append(material.name)
        if as_json:
            data.append(_as_data(material, findings, results))
        else:
            _print(material, findings, results)
    if as_json:
        print_json(data)
    if failing:
        raise MaterialError("does not agree with itself or with what materials are", where=", ".join(failing))


def _as_data(material: Material, findings: list[Finding], results: list[LabResult]) -> dict[str, Any]:
    return {
        "name": material.name,
        "title": material.title,
        "grade": material.grade,
        "plausibility": [asdict(finding) for finding in findings],
        "laboratory": [asdict(result) | {"agrees": result.agrees} for result in results],
    }


def _print(material: Material, findings: list[Finding], results: list[LabResult]) -> None:
    click.echo(f"{material.name}: {material.title} ({material.grade})\n")
    rows = [
        [finding.check, state_words("within" if finding.plausible else "exceeded"), finding.sentence]
        for finding in findings
    ]
    words = {"within": "plausible", "exceeded": "doubtful"}
    for row in rows:
        for state, word in words.items():
            row[1] = row[1].replace(state, word)
    print_table("Plausibility", ["what", "", "finding"], rows)
    columns = ["test", "quantity", "unit", "stated>", "simulated>", "difference>", "", "note"]
    print_table("Simulated laboratory", columns, [_row(result) for result in results])


def _row(result: LabResult) -> list[str]:
    stated, simulated = (_number(value) for value in (result.stated, result.simulated))
    difference = "" if result.difference is None else f"{100.0 * result.difference:+.1f} %"
    if result.allowed is None or result.stated is None:
        state = state_words("for information").split()[0]
    elif result.agrees:
        state = state_words("within").replace("within", "agrees")
    else:
        state = state_words("exceeded").replace("exceeded", "misses")
    return [result.test, result.quantity, result.unit, stated, simulated, difference, state, result.note]


def _number(value: float | None) -> str:
    return "-" if value is None else f"{value:.4g}"
