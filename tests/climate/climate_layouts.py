"""Real values of Greensboro in layouts of which no real file can ship: netCDF, BADC-CSV, reference year.

The layouts follow the public documentation of each format; station, cell and region are made up.
"""

import numpy as np
import xarray as xr

from hygro.climate.sky import dew_point

KNOT = 1852.0 / 3600.0


def columns_of(weather):
    """Canonical values as plain arrays, with the dew point, in the order of time."""
    values = {name: weather[name].to_numpy() for name in weather.data_vars}
    values["wind_direction"] = np.nan_to_num(values["wind_direction"])
    values["dew_point"] = dew_point(values["air_temperature"], values["relative_humidity"])
    return values


def running(end, hourly):
    """Sums from 00 UTC on, as reanalysis of the land keeps them."""
    days = (end - np.timedelta64(1, "h")).astype("datetime64[D]")
    total = np.cumsum(hourly)
    first = np.searchsorted(days, days)
    return total - np.concatenate(([0.0], total))[first]


def gridded(weather, latitudes, longitudes, *, land=False, time="valid_time", step=None):
    """A data set as the Copernicus store gives it; `step` [K per cell] sets cells apart."""
    values = columns_of(weather)
    end = weather["time"].to_numpy().astype("datetime64[s]")
    angle = np.radians(values["wind_direction"])
    direct = values["solar_global"] - values["solar_diffuse"]
    fields = {
        "t2m": values["air_temperature"] + 273.15,
        "d2m": values["dew_point"] + 273.15,
        "u10": -values["wind_speed"] * np.sin(angle),
        "v10": -values["wind_speed"] * np.cos(angle),
        "sp": values["air_pressure"],
    }
    sums = {
        "tp": values["rain"] / 1000.0,
        "ssrd": values["solar_global"] * 3600.0,
        "fdir": direct * 3600.0,
        "strd": values["longwave_sky"] * 3600.0,
    }
    fields |= {name: running(end, column) for name, column in sums.items()} if land else sums
    shape = (len(end), len(latitudes), len(longitudes))
    data = {}
    for name, column in fields.items():
        grid = np.broadcast_to(column[:, None, None], shape).copy()
        if step and name == "t2m":
            grid += step * (np.arange(shape[1])[None, :, None] + 10.0 * np.arange(shape[2])[None, None, :])
        data[name] = ((time, "latitude", "longitude"), grid)
    coordinates = {time: end.astype("datetime64[ns]"), "latitude": latitudes, "longitude": longitudes}
    return xr.Dataset(data, coordinates)


def badc(title, columns, rows, *, location="51.5,-0.4", height="25,m", extra=()):
    """Text of a BADC-CSV file of one station."""
    head = [
        "Conventions,G,BADC-CSV,1",
        f"title,G,{title}",
        "observation_station,G,made-up",
        f"location,G,{location}",
        f"height,G,{height}",
        "missing_value,G,NA",
        *extra,
        "data",
        ",".join(columns),
    ]
    return "\n".join([*head, *(",".join(row) for row in rows), "end data"]) + "\n"


def stamps(weather):
    return [str(t).replace("T", " ")[:19] for t in weather["time"].to_numpy().astype("datetime64[s]")]


def midas_texts(weather):
    """Text of a weather, a rain and a radiation file of the same station."""
    values, when = columns_of(weather), stamps(weather)
    hours = range(len(when))
    observed = [
        (
            when[i],
            "1",
            "4",
            f"{values['wind_direction'][i]:.0f}",
            f"{values['wind_speed'][i] / KNOT:.6f}",
            f"{values['air_temperature'][i]:.1f}",
            f"{values['dew_point'][i]:.6f}",
            f"{100.0 * values['relative_humidity'][i]:.1f}",
            f"{values['air_pressure'][i] / 100.0:.1f}",
            "10",
        )
        for i in hours
    ]
    names = (
        "ob_time",
        "version_num",
        "wind_speed_unit_id",
        "wind_direction",
        "wind_speed",
        "air_temperature",
        "dewpoint",
        "rltv_hum",
        "stn_pres",
        "air_temperature_q",
    )
    rain = [(when[i], "1", "1", f"{values['rain'][i]:.1f}") for i in hours]
    sun = [
        (
            when[i],
            "1",
            "1",
            f"{3.6 * values['solar_global'][i]:.4f}",
            f"{3.6 * values['solar_diffuse'][i]:.4f}",
        )
        for i in hours
    ]
    return {
        "weather.csv": badc(
            "uk-hourly-weather-obs", names, observed, extra=["long_name,wind_speed,Wind speed,knots"]
        ),
        "rain.csv": badc(
            "uk-hourly-rain-obs", ("ob_end_time", "version_num", "ob_hour_count", "prcp_amt"), rain
        ),
        "radiation.csv": badc(
            "uk-radiation-obs",
            ("ob_end_time", "version_num", "ob_hour_count", "glbl_irad_amt", "difu_irad_amt"),
            sun,
        ),
    }


def reference_year_text(
    weather, *, leading=False, place="Lage: 36°06'N <- B.  79°57'W <- L.   273 Meter über NN"
):
    """Text of a reference year in the layout of 2010; stamps 1 to 24 of each day."""
    values = columns_of(weather)
    rows = []
    for i in range(len(values["rain"])):
        day = np.datetime64("2001-01-01") + i // 24
        month, of_month = (int(part) for part in str(day)[5:].split("-"))
        direct = values["solar_global"][i] - values["solar_diffuse"][i]
        rows.append(
            f" 8 1 {month:2d} {of_month:2d} {i % 24 + 1:2d} 4 {values['wind_direction'][i]:4.0f} "
            f"{values['wind_speed'][i]:5.1f} {values['air_temperature'][i]:6.1f} "
            f"{values['air_pressure'][i] / 100.0:7.1f} 5.0 {100.0 * values['relative_humidity'][i]:3.0f} 0 "
            f"{direct:.0f} {values['solar_diffuse'][i]:.0f} 9 {values['longwave_sky'][i]:.0f} -300 9"
        )
    if leading:
        rows.insert(0, rows[-1])
    head = ["TRY made up", place, "", "RG IS MM DD HH N WR WG t p x RF W B D IK A E IL", "***"]
    return "\n".join(head + rows) + "\n"
