"""The whole library in the simulated laboratory, as a page of the documentation."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from hygro.materials import list_materials, load_material
from hygro.materials.plausibility import plausibility
from hygro.results.laboratory import laboratory
from hygro.results.laboratory_bench import LabResult
from hygro.whole_files import write_text

HEAD: Final = """# The library in the laboratory

Every material of the library, put through the tests that its numbers are made for: simulated by the same
solver that marches walls. Written by `python -m hygro.results.laboratory_table docs/laboratory.md`; a slow
test writes it again and compares. [own-materials.md](own-materials.md) says how each test is done.

"stated" is what the material file says or what follows from it without the solver; "simulated" has one
process at work, the one that the number stands for. The columns "from 50 % RH" and "with liquid" show the
material as a laboratory would meet it, with vapour and liquid moving together, and judge nothing: where they
are far off, the file takes one measurement for two processes. Cells and steps make up less than 0.5 %.
"""

_JUDGED: Final = (
    ("water uptake", "A_w", "A_w"),
    ("dry cup", "mu", "dry cup μ"),
    ("wet cup", "mu", "wet cup μ"),
)
_SEEN: Final = {
    "A_w": ("water uptake, conditioned", "A_w", "from 50 % RH"),
    "wet cup μ": ("wet cup, liquid at work", "mu", "with liquid"),
}
"""Columns that show what a laboratory would see beside the judged number."""


def library_results() -> dict[str, list[LabResult]]:
    """Put every material of the library through every test."""
    return {name: laboratory(load_material(name)) for name in list_materials()}


def laboratory_page(results: dict[str, list[LabResult]]) -> str:
    """Lay the results out as Markdown.

    Parameters
    ----------
    results : dict
        By name of the material, as `library_results` returns them.

    Returns
    -------
    str
    """
    parts = [
        HEAD,
        "## Water uptake and cups\n",
        "A_w in kg/(m²·√s) at 20 °C, μ from the cups at 23 °C (0 and 50 %, 50 and 93 % RH).\n",
        *_table(results),
        "\n## Drying from capillary saturation\n",
        "50 mm, one face open to air of 20 °C and 50 % RH that moves; a free wet surface would lose "
        f"{_free_rate(results):.3f} kg/(m²·h).\n",
        *_drying(results),
        "\n## Sorption and thermal conductivity\n",
        "Greatest difference from the material's own curve.\n",
        *_curves(results),
        "\n## What does not agree\n",
        *_odd(results),
        "",
    ]
    return "\n".join(parts)


def worst(results: Iterable[LabResult], test: str) -> LabResult | None:
    """Find the judged result of a test that differs most.

    Parameters
    ----------
    results : iterable of LabResult
        Of one material or of many.
    test : str
        Name of the test.

    Returns
    -------
    LabResult or None
        None where no result of that test is judged and has a number.
    """
    judged = [item for item in results if item.test == test and item.allowed and item.difference is not None]
    return max(judged, key=lambda item: abs(item.difference or 0.0), default=None)


def _table(results: dict[str, list[LabResult]]) -> list[str]:
    head = ["material"]
    for *_, label in _JUDGED:
        head += [f"{label}, stated", "simulated", "difference"]
        head += [_SEEN[label][2]] if label in _SEEN else []
    lines = ["| " + " | ".join(head) + " |", "|---" * len(head) + "|"]
    for name, found in results.items():
        cells = [f"`{name}`"]
        for test, quantity, label in _JUDGED:
            cells += _three(_one(found, test, quantity))
            if label in _SEEN:
                number, shift = _three(_one(found, *_SEEN[label][:2]))[1:]
                cells.append(number if number == "-" else f"{number} ({shift})")
        lines.append("| " + " | ".join(cells) + " |")
    return lines


def _three(item: LabResult | None) -> list[str]:
    if item is None:
        return ["-", "-", "-"]
    return [
        "-" if item.stated is None else f"{item.stated:.3g}",
        "-" if item.simulated is None else f"{item.simulated:.3g}",
        "-" if item.difference is None else f"{_signed(item.difference)} %",
    ]


def _signed(share: float) -> str:
    percent = 100.0 * share
    text = f"{percent:+.0f}" if abs(percent) >= 10.0 else f"{percent:+.1f}"
    return text if text.strip("+-0.") else "0.0"


def _drying(results: dict[str, list[LabResult]]) -> list[str]:
    lines = [
        "| material | first-stage rate, kg/(m²·h) | off a free wet surface | first stage, h | 90 % gone, d |",
        "|---|---|---|---|---|",
    ]
    for name, found in results.items():
        rate = _one(found, "drying", "first-stage rate")
        end, time = _one(found, "drying", "end of first stage"), _one(found, "drying", "time to dry")
        assert rate is not None
        assert end is not None
        assert time is not None
        cells = [
            f"`{name}`",
            *_three(rate)[1:],
            f"{end.simulated:.0f}",
            "more than 3 years" if time.simulated is None else f"{time.simulated:.3g}",
        ]
        lines.append("| " + " | ".join(cells) + " |")
    return lines


def _curves(results: dict[str, list[LabResult]]) -> list[str]:
    lines = ["| material | sorption, 30 to 97 % RH | thermal conductivity, dry to wet |", "|---|---|---|"]
    for name, found in results.items():
        shown = [worst(found, test) for test in ("sorption", "thermal conductivity")]
        cells = ["-" if item is None else f"{100.0 * abs(item.difference or 0.0):.2f} %" for item in shown]
        lines.append(f"| `{name}` | " + " | ".join(cells) + " |")
    return lines


def _odd(results: dict[str, list[LabResult]]) -> list[str]:
    lines = [
        f"- `{name}`, {item.test}: {item.note}"
        for name, found in results.items()
        for item in found
        if not item.agrees
    ]
    lines += [
        f"- `{name}`, {finding.check}: {finding.sentence}"
        for name in results
        for finding in plausibility(load_material(name))
        if not finding.plausible
    ]
    return lines or ["Nothing."]


def _free_rate(results: dict[str, list[LabResult]]) -> float:
    rates = [
        item.stated for found in results.values() for item in found if item.quantity == "first-stage rate"
    ]
    return next(rate for rate in rates if rate is not None)


def _one(found: list[LabResult], test: str, quantity: str) -> LabResult | None:
    return next((item for item in found if (item.test, item.quantity) == (test, quantity)), None)


if __name__ == "__main__":
    write_text(Path(sys.argv[1]), laboratory_page(library_results()))
