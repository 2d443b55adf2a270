"""Run the verification tests, the long ones too, and write docs/verification.md from what they measure.

    python tests/write_verification.py

Nothing is written if a test fails.
"""

import sys

import pytest
import verification_page


def main():
    folders = [str(verification_page.ROOT / "tests" / name) for name in verification_page.FOLDERS]
    options = ["-q", "-m", "", "--deselect", "tests/reference/test_reference_page.py"]
    status = pytest.main([*folders, *options, *sys.argv[1:]])
    if status != 0:
        return int(status)
    verification_page.load_tests()
    verification_page.write()
    print(f"wrote {verification_page.PAGE.relative_to(verification_page.ROOT)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
