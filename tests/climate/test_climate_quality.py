"""What is odd in a record is listed with counts and times; gaps are filled up to a stated length."""

import json

import numpy as np
import pytest

from hygro.climate import load_weather
from hygro.climate.anemometer import open_country_factor
from hygro.climate.finding import STATES
from hygro.climate.weather import inspect_weather
from hygro.errors import ClimateError

HEAD = 7
COLUMNS = {"temperature": 1, "humidity": 2, "pressure": 3, "wind": 4, "direction": 5, "rain": 6, "sun": 7}


def put(quantity, rows, text):
    """Return a change that writes a text, or what a function makes of the old one, into rows."""

    def change(lines):
        for row in rows:
            cells = lines[HEAD + row].split(",")
            number = COLUMNS[quantity]
            cells[number] = text(cells[number]) if callable(text) else text
            lines[HEAD + row] = ",".join(cells)
        return lines

    return change


def of_kind(findings, kind):
    return [finding for finding in findings if finding.kind == kind]


def test_a_sound_record_has_nothing_doubtful(invented):
    found = inspect_weather(invented("sheltered-inland"))
    assert {finding.state for finding in found.findings} <= {"noted", "modelled"}
    assert all(finding.state in STATES for finding in found.findings)
    assert found.refusal is None


def test_findings_are_frozen_and_stand_in_the_dataset(invented):
    found = inspect_weather(invented("sheltered-inland"))
    with pytest.raises(AttributeError):
        found.findings[0].count = 3
    assert json.loads(found.weather.attrs["findings"]) == [f.to_dict() for f in found.findings]


def test_gap_filled_along_a_line(altered):
    found = inspect_weather(altered(put("temperature", range(100, 103), "")))
    (gap,) = of_kind(found.findings, "gap")
    assert (gap.quantity, gap.state, gap.count) == ("air_temperature", "changed", 3)
    assert gap.times == ("2001-01-05T04:00Z 3 h",)
    assert gap.text == "Air temperature is missing in 3 h, at most 3 in a row; filled along a line."


def test_longer_gap_is_refused_unless_asked_for(altered, inland):
    path = altered(put("temperature", range(100, 112), ""))
    found = inspect_weather(path)
    assert of_kind(found.findings, "gap")[0].state == "refused"
    with pytest.raises(ClimateError, match="air temperature has gaps of more than 3 hours, found '12 h from"):
        load_weather(path)
    weather = load_weather(path, fill_hours=12)
    known = inland["air_temperature"].to_numpy()
    expected = 0.5 * (known[76:88] + known[124:136])  # the same hours of the day before and the day after
    np.testing.assert_allclose(weather["air_temperature"][100:112], expected)
    np.testing.assert_array_equal(weather["air_temperature"][:100], known[:100])
    assert "longer from the days before and after" in weather.attrs["findings"]
    with pytest.raises(ClimateError, match="gaps of more than 11 hours"):
        load_weather(path, fill_hours=11)


def test_gap_at_the_start_takes_the_day_after(altered, inland):
    weather = load_weather(altered(put("temperature", range(6), "")), fill_hours=6)
    np.testing.assert_array_equal(weather["air_temperature"][:6], inland["air_temperature"][24:30])


def test_gaps_that_the_neighbouring_days_share_are_refused(altered):
    rows = [*range(6), *range(24, 30)]
    with pytest.raises(ClimateError, match="has a gap that the days beside it can't fill, found '6 h from"):
        load_weather(altered(put("temperature", rows, "")), fill_hours=6)


@pytest.mark.parametrize("hours", [-1, 25])
def test_fill_hours_has_a_limit(invented, hours):
    with pytest.raises(ClimateError, match="the longest gap to fill is out of range"):
        load_weather(invented("sheltered-inland"), fill_hours=hours)


def test_rain_is_never_made_up(altered):
    found = inspect_weather(altered(put("rain", [50], "")))
    (gap,) = of_kind(found.findings, "gap")
    assert (gap.state, gap.text) == (
        "refused",
        "Rain in the hour is missing in 1 h, at most 1 in a row; rain is never made up.",
    )


def test_rain_that_is_replaced_may_be_anything(altered, invented, inland):
    change = put("rain", [50, 51], "")
    path = altered(lambda lines: put("rain", [60], "-77")(change(lines)))
    with pytest.raises(ClimateError, match="rain in the hour is impossible"):
        load_weather(path)
    found = inspect_weather(path, rain=invented("sheltered-inland"))
    assert not any(finding.state == "refused" for finding in found.findings)
    np.testing.assert_array_equal(found.weather["rain"], inland["rain"])


def test_missing_rows_and_duplicates(altered, invented):
    rows = altered(lambda lines: lines[:100] + lines[102:])
    (missing,) = of_kind(inspect_weather(rows, rain=invented("sheltered-inland")).findings, "missing rows")
    assert (missing.count, missing.times) == (2, ("2001-01-04T21:00Z 2 h",))
    twice = altered(lambda lines: lines[:100] + [lines[99]] + lines[100:])
    (double,) = of_kind(inspect_weather(twice).findings, "duplicate")
    assert (double.count, double.state, double.times) == (1, "refused", ("2001-01-04T20:00Z 1 h",))


@pytest.mark.parametrize(
    ("quantity", "rows", "text", "name", "hours"),
    [
        ("temperature", range(2000, 2030), "4.3", "air_temperature", 30),
        ("humidity", range(2000, 2030), "71", "relative_humidity", 30),
        ("wind", range(2000, 2030), "3.3", "wind_speed", 30),
        ("rain", range(2000, 2006), "1.7", "rain", 6),
        ("sun", range(3320, 3328), "311", "solar_global", 8),
    ],
)
def test_stuck_sensor(altered, quantity, rows, text, name, hours):
    found = inspect_weather(altered(put(quantity, rows, text)))
    (stuck,) = of_kind(found.findings, "stuck sensor")
    assert (stuck.quantity, stuck.state, stuck.count) == (name, "doubtful", hours)


def test_fog_and_calm_are_not_stuck(altered):
    change = put("humidity", range(2000, 2060), "100")
    path = altered(lambda lines: put("wind", range(2000, 2060), "0.0")(change(lines)))
    assert not of_kind(inspect_weather(path).findings, "stuck sensor")


def test_impossible_and_clipped(altered):
    change = put("humidity", [10, 11], "101")
    found = inspect_weather(altered(lambda lines: put("temperature", [500], "75")(change(lines))))
    (impossible,) = of_kind(found.findings, "impossible value")
    assert (impossible.count, impossible.state) == (1, "refused")
    (clipped,) = of_kind(found.findings, "beyond its bounds")
    assert (clipped.count, clipped.state, clipped.quantity) == (2, "changed", "relative_humidity")


def test_a_little_sun_at_night_is_doubtful(altered):
    found = inspect_weather(altered(put("sun", range(0, 72, 24), "30")))
    (dark,) = of_kind(found.findings, "sun at night")
    assert (dark.count, dark.state) == (3, "doubtful")
    assert found.weather is not None


def test_yearly_rain_that_does_not_add_up(invented):
    path = invented("sheltered-inland")  # 691.5 mm
    assert not of_kind(inspect_weather(path, yearly_rain=700.0).findings, "rain total")
    (off,) = of_kind(inspect_weather(path, yearly_rain=800.0).findings, "rain total")
    assert off.text == "Rain adds up to 692 mm a year and not to the 800 mm stated."
    (unit,) = of_kind(inspect_weather(path, yearly_rain=6915.0).findings, "rain total")
    assert unit.text.endswith("a factor of 10, is the unit right?")


def test_yearly_rain_stated_in_the_file(altered):
    path = altered(lambda lines: ["# yearly_rain_mm: 900", *lines])
    assert of_kind(inspect_weather(path).findings, "rain total")[0].state == "doubtful"


def test_rain_in_metres_is_in_doubt(altered):
    found = inspect_weather(altered(put("rain", range(8760), lambda cell: f"{float(cell) / 1000.0:.4f}")))
    assert (
        of_kind(found.findings, "rain total")[0].text
        == "Rain adds up to 0.6915 mm a year; is the unit right?"
    )


def test_month_without_rain_and_coarse_rain(altered):
    february = range(744, 744 + 672)
    change = put("rain", range(8760), lambda cell: f"{np.ceil(float(cell)):.0f}")
    found = inspect_weather(altered(lambda lines: put("rain", february, "0")(change(lines))))
    (dry,) = of_kind(found.findings, "month without rain")
    assert (dry.count, dry.times) == (672, ("2001-02",))
    assert of_kind(found.findings, "coarse rain")


@pytest.mark.parametrize("cap", [99, 95])
def test_humidity_cap(altered, cap):
    path = altered(put("humidity", range(8760), lambda cell: f"{min(float(cell), cap):g}"))
    (capped,) = of_kind(inspect_weather(path).findings, "humidity cap")
    assert capped.state == "doubtful"
    assert capped.text.startswith(f"Humidity never exceeds {cap}% and stands there in {capped.count} h")


def test_warm_season_of_the_other_hemisphere(altered):
    """The seasons six months apart, the sun where it belongs: no check of the sun can find that."""

    def change(lines):
        rows = lines[HEAD:]
        half = 4380
        return lines[:HEAD] + [
            ",".join([*row.split(",")[:1], other.split(",")[1], *row.split(",")[2:]])
            for row, other in zip(rows, rows[half:] + rows[:half], strict=True)
        ]

    (season,) = of_kind(inspect_weather(altered(change)).findings, "hemisphere")
    assert season.text == (
        "December to February is warmest, which does not belong to latitude 52: is its sign right?"
    )


def test_wind_without_direction(altered):
    found = inspect_weather(altered(put("direction", range(600, 610), "")))
    (lost,) = of_kind(found.findings, "no direction")
    assert 0 < lost.count <= 10
    assert found.weather.attrs["hours_without_direction"] == lost.count


def test_modelled_is_said(invented):
    texts = [f.text for f in inspect_weather(invented("exposed-coast")).findings if f.state == "modelled"]
    assert "Direct sun is split from the global (Erbs et al. 1982)." in texts
    assert any(text.startswith("Sky long-wave is worked out from dew point and cloud") for text in texts)


def test_modelled_elsewhere_survives(altered):
    path = altered(lambda lines: ["# modelled: rain", *lines])
    assert load_weather(path).attrs["modelled"].endswith("longwave_sky, rain")


def test_wind_to_ten_metres_in_open_country(altered, inland):
    """ISO 15927-3: C_R = K_R ln(z/z0), by hand: II at 10 m 0.19 ln(200) = 1.0067."""
    assert open_country_factor(10.0, "II") == 1.0
    assert open_country_factor(20.0, "III") == pytest.approx(1.0067 / (0.22 * np.log(20.0 / 0.3)), rel=1e-4)
    weather = load_weather(altered(lambda lines: lines), wind_height=20.0, wind_terrain="III")
    np.testing.assert_allclose(weather["wind_speed"], inland["wind_speed"] * open_country_factor(20.0, "III"))
    assert "taken to 10 m in open country: times 1.0" in weather.attrs["findings"]


def test_anemometer_described_in_the_file(altered, inland):
    path = altered(lambda lines: ["# wind_height: 2", "# wind_terrain: II", *lines])
    factor = 0.19 * np.log(200.0) / (0.19 * np.log(4.0 / 0.05))  # 2 m counts as 4 m, the least height of II
    np.testing.assert_allclose(load_weather(path)["wind_speed"], inland["wind_speed"] * factor)


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        (
            {"wind_height": 0.5},
            "the height of the anemometer is out of range, found 0.5, expected 1 to 200 m",
        ),
        ({"wind_terrain": "V"}, "the terrain of the anemometer is not known, found 'V'"),
    ],
)
def test_anemometer_out_of_range(invented, options, sentence):
    with pytest.raises(ClimateError, match=sentence):
        load_weather(invented("sheltered-inland"), **options)


def test_idle_columns_may_have_gaps(invented, tmp_path):
    """Cloud is not asked for where long-wave is there, so its gaps are no reason to refuse."""
    lines = invented("sheltered-inland").read_text().splitlines()
    cloud = lines[6].split(",").index("cloud_okta")
    rows = []
    for number, line in enumerate(lines[HEAD:]):
        cells = line.split(",")
        cells[cloud] = "" if 100 < number < 200 else cells[cloud]
        rows.append(",".join([*cells, "300"]))
    path = tmp_path / "idle.csv"
    path.write_text("\n".join([*lines[:6], lines[6] + ",longwave_sky_W_m2", *rows]) + "\n")
    assert (load_weather(path)["longwave_sky"] == 300.0).all()
