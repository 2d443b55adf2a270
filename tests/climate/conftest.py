"""Years to read: the invented ones, real ones beside the project, and the one that pvlib brings."""

import csv
import datetime

import pytest
from climate_years import GREENSBORO, GREENSBORO_COLUMNS, PLACES, ROOT, SHARED

from hygro.climate import load_weather


@pytest.fixture(scope="session")
def invented():
    """Return the path of an invented year by name."""
    return lambda name: ROOT / "climate" / f"{name}.csv"


@pytest.fixture(scope="session")
def inland(invented):
    return load_weather(invented("sheltered-inland"))


@pytest.fixture(scope="session")
def coast(invented):
    return load_weather(invented("exposed-coast"))


@pytest.fixture
def altered(invented, tmp_path):
    """Return a function that writes the inland year with its lines changed and gives back the path."""

    def write(change, name="altered.csv"):
        lines = invented("sheltered-inland").read_text().splitlines()
        path = tmp_path / name
        path.write_text("\n".join(change(lines)) + "\n")
        return path

    return write


@pytest.fixture(scope="session")
def measured():
    """Return a function that loads a real year beside the project, or skips where it is absent."""

    def load(name, **options):
        path = SHARED / name
        if not path.exists():
            pytest.skip(f"the real year {name} does not lie beside the project in ../shared/weather")
        return load_weather(path, location=PLACES[name], **options)

    return load


@pytest.fixture(scope="session")
def greensboro_rows():
    """Rows of the typical year that pvlib brings, as dicts."""
    with GREENSBORO.open() as file:
        next(file)
        return list(csv.DictReader(file))


@pytest.fixture(scope="session")
def greensboro_csv(greensboro_rows, tmp_path_factory):
    """That year with a column of times in standard time of 2001, else as it is."""
    path = tmp_path_factory.mktemp("greensboro") / "723170TYA.csv"
    columns = list(GREENSBORO_COLUMNS.values())
    with path.open("w", newline="") as file:
        writer = csv.DictWriter(file, columns, extrasaction="ignore")
        writer.writeheader()
        for row in greensboro_rows:
            month, day, _ = row["Date (MM/DD/YYYY)"].split("/")
            hour = int(row["Time (HH:MM)"][:2])
            writer.writerow({**row, "time": _ending(int(month), int(day), hour)})
    return path


def _ending(month, day, hour):
    return (datetime.datetime(2001, month, day) + datetime.timedelta(hours=hour)).isoformat()
