"""Steady methods of the standards against worked examples: U-values, condensation, pressures."""

from dataclasses import replace

import numpy as np
from verification import Check, verifies

from hygro.constants import ZERO_CELSIUS
from hygro.physics.interstitial import (
    VAPOUR_PERMEABILITY,
    WALL_BLOCKS,
    Layers,
    plane_temperatures,
    single_period,
    vapour_line,
)
from hygro.physics.moist_air import saturation_pressure
from hygro.scores.steady_u import INTERNAL_RESISTANCE, total_resistance, u_value

HALF_DIGIT = "half the last digit of the number"
ONE_DECIMAL = "half the last digit that is printed"


def temperatures(thickness, conductivity, inside, outside):
    """Surface and interface temperatures from inside to outside [degC]."""
    steps = np.cumsum([INTERNAL_RESISTANCE, *np.divide(thickness, conductivity)])
    return inside - (inside - outside) * steps / total_resistance(thickness, conductivity)


@verifies(
    "steady",
    "U-value of an externally insulated wall",
    kind="worked",
    source="course text of the University of Iceland, after ISO 6946, second-hand; 25/1.2, 100/0.036, "
    "180/1.95, "
    "20/1.4 mm per W/(m K) between 20 and -5 degC. R 3.08 and U 0.33 are printed; more digits were worked "
    "out anew",
    shows="Resistances in series and the temperatures between layers.",
    checks=[
        Check("R", 3.08, 0.005, HALF_DIGIT, "m2 K/W"),
        Check("R, worked out anew", 3.0752, 5e-5, HALF_DIGIT, "m2 K/W"),
        Check("U", 0.33, 0.005, HALF_DIGIT, "W/(m2 K)"),
        Check("U, worked out anew", 0.3252, 5e-5, HALF_DIGIT, "W/(m2 K)"),
        Check(
            "temperatures from inside",
            (18.94, 18.77, -3.81, -4.56, -4.67),
            0.0051,
            "half the last digit; worked out anew, the printed ones have one decimal",
            "degC",
        ),
    ],
)
def test_u_value_with_external_insulation(verify):
    layers = np.array([0.025, 0.100, 0.180, 0.020]), np.array([1.2, 0.036, 1.95, 1.4])
    verify("R", total_resistance(*layers))
    verify("R, worked out anew", total_resistance(*layers))
    verify("U", u_value(*layers))
    verify("U, worked out anew", u_value(*layers))
    verify("temperatures from inside", temperatures(*layers, 20.0, -5.0))


@verifies(
    "steady",
    "U-value of a faced wall",
    kind="worked",
    source="Willems (ed.) 2022, Lehrbuch der Bauphysik, second-hand; 15/0.51, 240/0.16, 100/0.035, 115/0.68 "
    "mm per "
    "W/(m K) between 20 and -10 degC",
    shows="The same by other hands.",
    checks=[
        Check("U", 0.212, 5e-4, HALF_DIGIT, "W/(m2 K)"),
        Check("heat flux", 6.36, 0.015, "printed from the rounded U: 30 K times half its last digit", "W/m2"),
        Check(
            "temperatures from inside",
            (19.17, 18.99, 9.47, -8.67, -9.75),
            0.0051,
            "half the last digit, and rounding of the rounded",
            "degC",
        ),
    ],
)
def test_u_value_of_a_faced_wall(verify):
    layers = np.array([0.015, 0.240, 0.100, 0.115]), np.array([0.51, 0.16, 0.035, 0.68])
    verify("U", u_value(*layers))
    verify("heat flux", 30.0 * u_value(*layers))
    verify("temperatures from inside", temperatures(*layers, 20.0, -10.0))


@verifies(
    "steady",
    "U-value long assumed for a solid brick wall",
    kind="published",
    source="Li et al. 2015, Building Research and Information 43, 238-252; the layers (215 mm of 0.77, 13 "
    "mm of dense "
    "plaster of 0.57 W/(m K)) are common practice",
    shows="The value that surveys of old walls started from. That real walls lose less on average (1.3, "
    "same source) is "
    "no check of a program: it is a warning about conductivities.",
    checks=[Check("U", 2.1, 0.05, HALF_DIGIT, "W/(m2 K)")],
)
def test_u_value_of_a_solid_brick_wall(verify):
    verify("U", u_value(np.array([0.215, 0.013]), np.array([0.77, 0.57])))


@verifies(
    "steady",
    "Saturation pressure",
    kind="published",
    source="table reproduced in a University of Iceland text; the pair of formulas of EN ISO 13788 was read "
    "second-hand three times",
    shows="From -20 to 20 degC, over water and ice.",
    checks=[
        Check(
            "pressures at 20, 15, 10, 5, 0, -5, -10, -15, -20 degC",
            (2335.0, 1703.0, 1228.0, 872.0, 611.0, 402.0, 260.0, 166.0, 104.0),
            2.8,
            "formulas of this kind agree to one in a thousand (2.3 Pa at 20 degC), and 1 Pa is printed",
            "Pa",
        )
    ],
)
def test_saturation_pressures(verify):
    celsius = np.array([20.0, 15.0, 10.0, 5.0, 0.0, -5.0, -10.0, -15.0, -20.0])
    verify(
        "pressures at 20, 15, 10, 5, 0, -5, -10, -15, -20 degC", saturation_pressure(celsius + ZERO_CELSIUS)
    )


def from_inside(rows, **surfaces):
    """Layers as the examples print them: (resistance, s_d) from inside to outside."""
    rows = np.array(rows[::-1], dtype=float)
    return Layers(rows[:, 0], rows[:, 1], **surfaces)


def celsius(layers, external, internal):
    """Temperatures of the planes from inside to outside."""
    return plane_temperatures(layers, external + ZERO_CELSIUS, internal + ZERO_CELSIUS)[::-1] - ZERO_CELSIUS


def spread(plane_inside, plane_outside, pressure):
    """What an error of saturation pressure does to the rate at a plane between two s_d."""
    return VAPOUR_PERMEABILITY * pressure * (1.0 / plane_inside + 1.0 / plane_outside)


ROUNDED_SATURATION = 0.05 * 36.0 + 0.5
PSAT_WHY = (
    "the source takes saturation at temperatures of one decimal (0.05 K times 36 Pa/K) and rounds it to 1 Pa"
)
TIMBER = from_inside(
    [(0.019 / 0.127, 0.95), (0.0, 2.0), (4.0, 0.16), (0.019 / 0.127, 1.90)], internal_resistance=0.25
)
ROOF = from_inside(
    [(0.18 / 2.1, 12.6), (0.0, 20.0), (0.14 / 0.04, 4.2), (0.0, 600.0)], internal_resistance=0.25
)


@verifies(
    "steady",
    "Interstitial condensation: a timber wall",
    kind="worked",
    source="Willems (ed.) 2022, second-hand; block climate of DIN 4108-3 (20 degC/50 % and -5 degC/80 % for "
    "90 d, then "
    "1200 Pa); chipboard, retarder, 160 mm of mineral wool, chipboard",
    shows="Resistance, temperatures, rate and amount of condensate behind the outer board, and what summer "
    "takes away. "
    "The construction of the pressure line is that of ISO 13788.",
    checks=[
        Check("R", 4.590, 1e-3, "printed resistances of layers are rounded", "m2 K/W"),
        Check("temperatures from inside", (18.6, 17.8, 17.8, -4.0, -4.8), 0.05, ONE_DECIMAL, "degC"),
        Check("condensation rate", 3.48e-8, spread(3.11, 1.90, ROUNDED_SATURATION), PSAT_WHY, "kg/(m2 s)"),
        Check("condensate of the winter", 0.27, 0.005, HALF_DIGIT, "kg/m2"),
        Check("evaporation rate", 8.48e-8, 5e-11, HALF_DIGIT, "kg/(m2 s)"),
        Check("what summer can take away", 0.659, 5e-4, HALF_DIGIT, "kg/m2"),
    ],
)
def test_condensation_in_a_timber_wall(verify):
    found = single_period(TIMBER)
    verify("R", TIMBER.total_resistance)
    verify("temperatures from inside", celsius(TIMBER, -5.0, 20.0))
    assert np.flatnonzero(found.condensation).tolist() == [1]
    verify("condensation rate", found.condensation[1])
    verify("condensate of the winter", found.condensed[1])
    verify("evaporation rate", found.evaporation[1])
    verify("what summer can take away", found.can_evaporate[1])


@verifies(
    "steady",
    "Interstitial condensation: a flat roof",
    kind="worked",
    source="Willems (ed.) 2022, second-hand; the same climate with 2000 Pa in summer; concrete, retarder of "
    "20 m, 140 mm of "
    "foam, membrane of 600 m",
    shows="A hundredfold tighter, so the rate is a tenth.",
    checks=[
        Check("R", 3.876, 5e-4, HALF_DIGIT, "m2 K/W"),
        Check("temperatures from inside", (18.4, 17.8, 17.8, -4.7, -4.7), 0.05, ONE_DECIMAL, "degC"),
        Check("condensation rate", 4.078e-9, spread(36.8, 600.0, ROUNDED_SATURATION), PSAT_WHY, "kg/(m2 s)"),
        Check("condensate of the winter", 0.032, 5e-4, HALF_DIGIT, "kg/m2"),
        Check("evaporation rate", 4.614e-9, 5e-13, HALF_DIGIT, "kg/(m2 s)"),
        Check("what summer can take away", 0.036, 5e-4, HALF_DIGIT, "kg/m2"),
    ],
)
def test_condensation_in_a_flat_roof(verify):
    found = single_period(ROOF, replace(WALL_BLOCKS, summer_saturation=2000.0))
    verify("R", ROOF.total_resistance)
    verify("temperatures from inside", celsius(ROOF, -5.0, 20.0))
    assert np.flatnonzero(found.condensation).tolist() == [1]
    verify("condensation rate", found.condensation[1])
    verify("condensate of the winter", found.condensed[1])
    verify("evaporation rate", found.evaporation[1])
    verify("what summer can take away", found.can_evaporate[1])


PRINTED_Z = np.array([9.3466e9, 3.3222e10])


@verifies(
    "steady",
    "Interstitial condensation: externally insulated concrete",
    kind="worked",
    source="University of Iceland, second-hand; 22 degC/45 % and -2 degC/80 %. The source lets the "
    "permeability of air follow "
    "temperature, so its own resistances to vapour are taken",
    shows="Between foam and concrete.",
    checks=[
        Check(
            "condensation rate",
            6.9772e-6,
            3600.0 * 0.5 * float(np.sum(1.0 / PRINTED_Z)),
            "half the last digit of the printed saturation pressure, 571 Pa",
            "kg/(m2 h)",
        )
    ],
)
def test_condensation_in_insulated_concrete(verify):
    line = vapour_line(VAPOUR_PERMEABILITY * PRINTED_Z, np.array([1e4, 571.0, 1e4]), 414.8, 1189.5)
    verify("condensation rate", 3600.0 * line.rate[1])


NANO = 1e-12
EXAMPLE_8 = [(0.12, 9200), (0.08, 290), (1.90, 1700), (0.11, 29), (0.18, 2010), (0.03, 57000)]
SHEATHED = from_inside(
    [(r, VAPOUR_PERMEABILITY / (permeance * NANO)) for r, permeance in EXAMPLE_8],
    internal_resistance=0.0,
    external_resistance=0.0,
)
OWN_PSAT = (
    "pressures are printed to 1 Pa, and the handbook's saturation pressure lies 1.6 Pa below that of "
    "ISO 13788"
)


@verifies(
    "steady",
    "Interstitial condensation: sheathed timber wall",
    kind="worked",
    source="ASHRAE Handbook Fundamentals 2021, chapter 27, example 8; 21 degC/40 % and -6.6 degC/50 %",
    shows="The dew-point method with films as layers: temperatures, the uncorrected pressure, both flows "
    "and what stays.",
    checks=[
        Check("R", 2.42, 0.005, HALF_DIGIT, "m2 K/W"),
        Check(
            "temperatures from inside",
            (19.6, 18.7, -2.9, -4.2, -6.3),
            0.051,
            "half the last digit; -2.95 is printed as -2.9",
            "degC",
        ),
        Check(
            "uncorrected pressure at the sheathing",
            908.0,
            4.0,
            "Z is rounded to 0.004 and 0.035 before use: 0.5 % of 820 Pa",
            "Pa",
        ),
        Check("flow from the room", 124746.0, 2.6 / 0.00415, OWN_PSAT, "ng/(s m2)"),
        Check("flow to outdoors", 8661.0, 2.6 / 0.0350, OWN_PSAT, "ng/(s m2)"),
        Check("condensate of 30 d", 0.30, 0.005, HALF_DIGIT, "kg/m2"),
    ],
)
def test_condensation_in_a_sheathed_wall(verify):
    sheathing = 3  # inner face, counted from outside
    verify("R", SHEATHED.total_resistance)
    verify("temperatures from inside", celsius(SHEATHED, -6.6, 21.0)[1:-1])
    dry = vapour_line(SHEATHED.s_d, np.full(7, 1e4), 175.0, 995.0)
    verify("uncorrected pressure at the sheathing", dry.pressure[sheathing])
    saturation = saturation_pressure(plane_temperatures(SHEATHED, 266.55, 294.15))
    line = vapour_line(SHEATHED.s_d, saturation, 175.0, 995.0)
    assert np.flatnonzero(line.rate).tolist() == [sheathing]
    flow = VAPOUR_PERMEABILITY * np.diff(line.pressure) / SHEATHED.s_d / NANO
    verify("flow from the room", flow[sheathing])
    verify("flow to outdoors", flow[sheathing - 1])
    verify("condensate of 30 d", line.rate[sheathing] * 30 * 86400)
