"""docs/verification.md lists what the tests hold: the same checks, references, tolerances and reasons."""

import pytest
import verification_page
from verification import RECORDS, REGISTRY, Check, Verifier, verifies


def test_page_is_that_of_the_tests():
    verification_page.load_tests()
    page = verification_page.PAGE.read_text(encoding="utf-8")
    expected = verification_page.render({})
    found = [verification_page.masked(line) for line in page.splitlines()]
    wanted = expected.splitlines()
    hint = "write the page anew: python tests/write_verification.py"
    assert found == wanted, hint


def test_page_holds_no_difference_above_its_tolerance():
    for line in verification_page.PAGE.read_text(encoding="utf-8").splitlines():
        cells = line.split(" | ")
        if line.startswith("| ") and len(cells) == 6 and line != verification_page.HEADER:
            difference, tolerance = (float(cells[k].split()[0]) for k in (3, 4))
            assert difference <= tolerance, line


def declared(checks):
    """A test declared apart from the registry of the page."""

    def claim(verify):
        verify("first", 1.01)
        verify("second", [1.0, 2.5], [1.0, 2.0])

    before = dict(REGISTRY)
    wrapper = verifies("heat", "trial", kind="exact", source="none", shows="none", checks=checks)(claim)
    entry = wrapper.verification
    REGISTRY.clear()
    REGISTRY.update(before)
    return wrapper, entry


FIRST = Check("first", 1.0, 0.02, "trial")
SECOND = Check("second", "words", 0.3, "trial", relative=True)


def test_a_check_records_its_worst():
    wrapper, entry = declared([FIRST, SECOND])
    wrapper(verify=Verifier(entry))
    record = RECORDS.pop((entry.place, "second"))
    assert (record.ours, record.reference) == (2.5, 2.0)
    assert record.difference == pytest.approx(0.25)
    line = verification_page.row(SECOND, record)
    assert line == "| second | words | 2.5 for 2 | 25 % | 30 % | trial |"
    assert verification_page.masked(line) == verification_page.row(SECOND, None)
    RECORDS.pop((entry.place, "first"))


@pytest.mark.parametrize(
    ("checks", "message"),
    [
        ([Check("first", 1.0, 0.001, "trial"), SECOND], "off by 0.01"),
        ([FIRST, SECOND, Check("third", 0.0, 1.0, "trial")], "declared but not compared"),
    ],
)
def test_a_claim_that_does_not_hold_fails(checks, message):
    wrapper, entry = declared(checks)
    with pytest.raises(AssertionError, match=message):
        wrapper(verify=Verifier(entry))
    for key in [key for key in RECORDS if key[0] == entry.place]:
        del RECORDS[key]


def test_a_check_that_nobody_declared_cannot_be_made():
    wrapper, entry = declared([FIRST])
    with pytest.raises(ValueError, match="unpack"):
        wrapper(verify=Verifier(entry))
    del RECORDS[entry.place, "first"]
