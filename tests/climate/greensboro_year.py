"""The typical year of Greensboro that pvlib brings, written in hygro's own CSV layout."""

import csv
import datetime

from climate_years import GREENSBORO_COLUMNS

PLACE = (36.1, -79.95, 273.0)
UTC_OFFSET = -5.0
COMMENTS = """\
# name: typical year of Greensboro, North Carolina
# source: measured, station 723170 at the airport; TMY3, National Renewable Energy Laboratory, USA
# licence: work of the government of the United States, free of copyright there
# months: each from one of the years 1980 to 2003, laid on 2001
# rain: marked as uncertain in every hour by its makers (code 9); February has none
# converted: standard time (UTC-5) to UTC; pressure from hPa to Pa; direction left empty where calm;
#   rain from tenths of a millimetre, which its column holds though it is headed mm. Else as it is
# latitude: 36.1
# longitude: -79.95
# altitude: 273
"""
PLAIN = (
    "solar_global_W_m2",
    "solar_direct_normal_W_m2",
    "solar_diffuse_W_m2",
    "cloud_tenths",
)
HEADER = (
    "hour_ending_utc",
    "air_temperature_C",
    "relative_humidity_percent",
    "air_pressure_Pa",
    "wind_speed_m_s",
    "wind_direction_deg",
    "rain_mm",
    *PLAIN,
)


def canonical_text(path):
    """Return the text of `climate/greensboro-typical.csv`, from the fixture `greensboro_csv`."""
    with path.open(newline="") as file:
        rows = [_cells(row) for row in csv.DictReader(file)]
    return COMMENTS + "".join(",".join(cells) + "\n" for cells in (HEADER, *rows))


def _cells(row):
    def cell(known):
        return row[GREENSBORO_COLUMNS[known]]

    local = datetime.datetime.fromisoformat(cell("hour_ending"))
    end = local - datetime.timedelta(hours=UTC_OFFSET)
    calm = float(cell("wind_speed_m_s")) == 0.0
    return (
        f"{end:%Y-%m-%dT%H:%MZ}",
        cell("air_temperature_C"),
        cell("relative_humidity_percent"),
        str(100 * int(cell("air_pressure_hPa"))),
        cell("wind_speed_m_s"),
        "" if calm else cell("wind_direction_deg"),
        f"{int(cell('rain_tenths_mm')) / 10:.1f}",
        *(cell(known) for known in PLAIN),
    )
