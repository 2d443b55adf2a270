"""What somebody new gets wrong: one sentence that says what to put right, never a fault of hygro."""

from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
COAST = str(ROOT / "climate" / "exposed-coast.csv")
NORMALS = "coast.toml"

WRONG = [
    # arguments, exit code, what the message says
    (("assess", COAST), 3, "a case file ends in .toml"),
    (
        ("assess", "tiny.toml", "--out", "/dev/null/x"),
        3,
        "the directory cannot be made, found 'Not a directory'",
    ),
    (("simulate", "tiny.toml", "--variant", "bare-wall-SW", "--out", "wall.txt"), 2, "does not end in .nc"),
    (("simulate", "tiny.toml", "--variant", "x"), 3, "no variant 'x'; it has bare-wall-SW"),
    (("coats", "tiny.toml"), 3, "no table [programme]; add one"),
    (("score", "tiny.toml"), 3, "expected a netCDF file"),
    (("materials", "show", "./random.toml"), 3, "holds bytes that are not UTF-8; save the file as UTF-8"),
    (
        ("site", "random.nc", "--place", 50, 0, 0),
        3,
        "can't be read as netCDF, expected a netCDF file, or a zip",
    ),
    (
        ("site", COAST, "--years", 2010, 2001),
        3,
        "the years to take are in the wrong order, found '2010 to 2001'",
    ),
    (("site", COAST, "--years", 1990, 1999), 3, "found '2001 to 2001', expected something of 1990 to 1999"),
    (("site", COAST, "--utc-offset-h", 30), 3, "the offset from UTC is out of range, found 30.0"),
    (("site", COAST, "--utc-offset-h", 1), 3, "UTC by the name of their column, and another offset is given"),
    (("site", COAST, "--yearly-rain-mm", -5), 3, "the rain of a year is impossible, found -5.0"),
    (("site", COAST, "--obstruction-distance-m", -3), 3, "the distance to the obstacle is impossible"),
    (("weather", "normals", COAST, "--out", "coast.csv"), 2, "does not end in .toml"),
    (("weather", "make", NORMALS, "--seed", -4, "--out", "made.csv"), 3, "the seed is impossible, found -4"),
    (("weather", "make", NORMALS, "--years", 0, "--out", "made.csv"), 3, "the number of years is impossible"),
    (
        ("weather", "make", "tiny.toml", "--out", "made.csv"),
        3,
        "the key description is not known, expected one of",
    ),
]


@pytest.fixture
def at_hand(case_file, run):
    """The small study, a climate table and files of noise in the working directory."""
    noise = bytes(range(255, 0, -1))
    for name in ("random.toml", "random.nc"):
        Path(name).write_bytes(noise)
    assert run("weather", "normals", COAST, "--out", NORMALS).exit_code == 0
    text = Path(case_file).read_text(encoding="utf-8")
    Path(case_file).write_text(
        text.replace('title = "', 'description = "small"\ntitle = "', 1), encoding="utf-8"
    )


@pytest.mark.parametrize(("arguments", "code", "said"), WRONG, ids=lambda value: str(value)[:60])
def test_a_wrong_input_is_one_sentence(at_hand, run, arguments, code, said):
    found = run(*arguments)
    assert found.exit_code == code, found.output
    assert said in found.stderr
    assert "fault of hygro" not in found.stderr
    assert not found.stdout
