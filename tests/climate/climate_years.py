"""Where real years lie, where their stations stand, and what their columns hold."""

from pathlib import Path

import pvlib

ROOT = Path(__file__).parents[2]
SHARED = ROOT.parent / "shared" / "weather"
PLACES = {
    "vlissingen_coast_2023.csv": (51.453, 3.570, 8.0),
    "arcen_sheltered_2023.csv": (51.498, 6.197, 19.0),
    "newyork_era5land_2018.csv": (40.7128, -74.0060, 10.0),
}
GREENSBORO = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
GREENSBORO_COLUMNS = {
    "hour_ending": "time",
    "air_temperature_C": "Dry-bulb (C)",
    "relative_humidity_percent": "RHum (%)",
    "air_pressure_hPa": "Pressure (mbar)",
    "wind_speed_m_s": "Wspd (m/s)",
    "wind_direction_deg": "Wdir (degrees)",
    "rain_tenths_mm": "Lprecip depth (mm)",  # holds tenths of a millimetre whatever it is headed
    "solar_global_W_m2": "GHI (W/m^2)",
    "solar_direct_normal_W_m2": "DNI (W/m^2)",
    "solar_diffuse_W_m2": "DHI (W/m^2)",
    "cloud_tenths": "OpqCld (tenths)",
}
