"""Directions by name and the factors of a site."""

import pytest

from hygro.climate import SiteFactors, elevation_name, parse_elevation
from hygro.errors import ClimateError


@pytest.mark.parametrize(
    ("value", "degrees"),
    [
        ("N", 0.0),
        ("NNE", 22.5),
        ("e", 90.0),
        (" SW ", 225.0),
        ("NNW", 337.5),
        (200, 200.0),
        ("225", 225.0),
        (360, 0.0),
    ],
)
def test_parse_elevation(value, degrees):
    assert parse_elevation(value) == degrees


@pytest.mark.parametrize("value", ["north", "", 361, -1, "SWW", float("nan"), True])
def test_no_direction(value):
    with pytest.raises(ClimateError, match="the elevation is no direction, found"):
        parse_elevation(value)


def test_names_come_back():
    for name in ("N", "ENE", "S", "WNW"):
        assert elevation_name(parse_elevation(name)) == name
    assert elevation_name(200.0) == "200 deg"
    assert elevation_name(360.0) == "N"


def test_terrain_by_number_or_name():
    assert SiteFactors(terrain=2) == SiteFactors(terrain="II")
    assert SiteFactors(terrain="II").roughness == pytest.approx(1.007, abs=5e-4)


def test_rain_factor_is_the_product_of_iso_15927_3():
    site = SiteFactors(terrain="III", topography=1.2, obstruction=0.5, wall_factor=0.3, height=20.0)
    assert site.rain_factor == pytest.approx(0.924 * 1.2 * 0.5 * 0.3, rel=1e-3)
    assert site.wind_factor == pytest.approx(0.924 * 1.2, rel=1e-3)


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ({"terrain": "V"}, "the terrain is not known, found 'V', expected I, II, III or IV"),
        ({"terrain": 5}, "the terrain is not known, found 5"),
        ({"wall_factor": 1.5}, "the wall factor is out of range, found 1.5, expected 0 to 1"),
        ({"uptake_share": -0.1}, "the uptake share is out of range"),
        ({"height": 0.0}, "the height is out of range"),
        ({"obstruction": float("nan")}, "the obstruction is out of range"),
    ],
)
def test_impossible_sites(options, sentence):
    with pytest.raises(ClimateError, match=sentence):
        SiteFactors(**options)
