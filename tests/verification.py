"""What a verification test claims, recorded: docs/verification.md is written from it.

A test that carries `@verifies(...)` states its subject, its reference and its checks; each check has a
tolerance and the reason for it. Inside, `verify(check, ours, reference)` both asserts and records. A test
that leaves a declared check out fails, so that what is declared is what is tested.

`python tests/write_verification.py` runs the tests and writes the page; a test in the default run compares
the page with what is declared.
"""

import functools
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

ROOT = Path(__file__).parents[1]

SUBJECTS = {
    "heat": "Heat alone",
    "vapour": "Vapour, and the heat it carries",
    "liquid": "Liquid water",
    "coupled": "Heat and moisture together",
    "benchmarks": "The HAMSTAD benchmarks",
    "steady": "Steady methods of the standards",
    "scores": "Mould and timber",
    "witness": "Against an independent integrator of the same equations",
    "properties": "What must hold whatever the numbers",
    "order": "Order of accuracy",
}

KINDS = {
    "exact": "exact",
    "published": "published",
    "worked": "worked example",
    "cross-check": "cross-check",
    "witness": "independent integrator",
    "property": "property",
}


@dataclass(frozen=True)
class Check:
    """One comparison.

    Parameters
    ----------
    what : str
        What is compared.
    reference : float, tuple of float or str
        The published value or values; words where the test works the reference out.
    tolerance : float
        Largest difference allowed, a share of the reference where `relative`.
    why : str
        The reason for the tolerance.
    unit : str
        Of the values.
    relative : bool
        Whether the difference is a share of the reference.
    """

    what: str
    reference: float | tuple[float, ...] | str
    tolerance: float
    why: str
    unit: str = ""
    relative: bool = False

    def difference(self, ours, reference):
        """Differences, element by element."""
        gap = np.abs(ours - reference)
        return gap / np.abs(reference) if self.relative else gap


@dataclass
class Entry:
    """One test as the page shows it."""

    subject: str
    title: str
    kind: str
    source: str
    shows: str
    checks: tuple[Check, ...]
    function: object = None

    @property
    def place(self):
        """File and name of the test."""
        path = Path(self.function.__code__.co_filename)
        return f"{path.relative_to(ROOT).as_posix()}::{self.function.__name__}"

    @property
    def slow(self):
        return any(mark.name == "slow" for mark in getattr(self.wrapper, "pytestmark", []))


@dataclass(frozen=True)
class Record:
    """The worst that was seen of one check."""

    ours: float
    reference: float
    difference: float


REGISTRY: dict[str, Entry] = {}
RECORDS: dict[tuple[str, str], Record] = {}


class Verifier:
    """Compares and records for one run of one test."""

    def __init__(self, entry):
        self.entry = entry
        self.left = {check.what for check in entry.checks}

    def __call__(self, what, ours, reference=None):
        """Compare; `reference` is given where the declaration has words instead of numbers."""
        (check,) = (item for item in self.entry.checks if item.what == what)
        if not isinstance(check.reference, str):
            assert reference is None, f"{what}: the reference stands in the declaration"
            reference = check.reference
        ours, reference = np.broadcast_arrays(np.asarray(ours, float), np.asarray(reference, float))
        gaps = np.ravel(check.difference(ours, reference))
        assert np.isfinite(gaps).all(), f"{what}: not finite"
        worst = int(np.argmax(gaps))
        found = Record(float(np.ravel(ours)[worst]), float(np.ravel(reference)[worst]), float(gaps[worst]))
        key = (self.entry.place, what)
        if key not in RECORDS or found.difference >= RECORDS[key].difference:
            RECORDS[key] = found
        self.left.discard(what)
        said = f"{what}: {found.ours:.8g} for {found.reference:.8g}, off by {found.difference:.3g}"
        print(f"{said} (tolerance {check.tolerance:.3g})")
        assert found.difference <= check.tolerance, f"{said}, tolerance {check.tolerance:.3g}"


def verifies(subject, title, *, kind, source, shows, checks):
    """Declare what a test verifies; the test takes the fixture `verify`."""
    assert subject in SUBJECTS
    assert kind in KINDS
    names = [check.what for check in checks]
    assert len(set(names)) == len(names), f"{title}: two checks of one name"

    def declare(function):
        entry = Entry(subject, title, kind, source, shows, tuple(checks), function)

        @functools.wraps(function)
        def wrapper(*args, verify, **kwargs):
            function(*args, verify=verify, **kwargs)
            assert not verify.left, f"declared but not compared: {sorted(verify.left)}"

        entry.wrapper = wrapper
        wrapper.verification = entry
        assert entry.place not in REGISTRY or REGISTRY[entry.place].title == title
        REGISTRY[entry.place] = entry
        return wrapper

    return declare


@pytest.fixture
def verify(request):
    """Compare with a declared reference, and record."""
    return Verifier(request.function.verification)
