"""Mould index and moisture of timber against tabulated equations and published measurements."""

import numpy as np
import pytest
from verification import Check, verifies

from hygro.scores.mould import k1_1999, mould_index, weeks_to_first_growth, weeks_to_visible_growth
from hygro.scores.timber import equilibrium_moisture

WEEK = 168
SOURCE_2010 = (
    "Hukka and Viitanen 1999; Ojanen et al. 2010, equations and classes read second-hand through two texts "
    "that agree"
)
ANEW = "half the last digit; worked out apart from hygro with hourly explicit steps, as the index is defined"

CONSTANT = {
    ("very sensitive", 22, 90): {1: 0.254, 2: 0.508, 4: 1.030, 8: 3.015, 12: 3.966},
    ("very sensitive", 22, 97): {1: 0.719, 2: 1.875, 4: 4.682, 8: 5.505},
    ("very sensitive", 20, 97): {1: 0.674, 2: 1.693, 4: 4.357, 8: 5.504},
    ("very sensitive", 10, 90): {1: 0.149, 2: 0.297, 4: 0.594, 8: 1.374, 12: 2.534, 26: 3.711},
    ("sensitive", 22, 90): {1: 0.147, 2: 0.293, 4: 0.586, 8: 1.113, 12: 1.498, 26: 2.657, 52: 3.048},
    ("sensitive", 22, 97): {1: 0.416, 2: 0.831, 4: 1.443, 8: 2.551, 12: 3.624, 26: 4.677},
    ("sensitive", 20, 97): {1: 0.390, 2: 0.779, 4: 1.373, 8: 2.412, 12: 3.430, 26: 4.675},
    ("medium resistant", 22, 97): {1: 0.052, 2: 0.103, 4: 0.207, 8: 0.414, 12: 0.620, 26: 1.454, 52: 2.842},
    ("resistant", 22, 97): {
        1: 0.023,
        2: 0.047,
        4: 0.093,
        8: 0.186,
        12: 0.278,
        26: 0.594,
        52: 1.055,
        104: 1.414,
    },
}
CYCLES = {
    ("very sensitive", "strong"): {1: 0.304, 2: 0.607, 4: 1.476, 8: 4.109, 12: 5.446},
    ("sensitive", "strong"): {
        1: 0.152,
        2: 0.304,
        4: 0.607,
        8: 1.116,
        12: 1.447,
        26: 2.601,
        52: 4.276,
        104: 4.449,
    },
    ("sensitive", "relatively low"): {
        1: 0.194,
        2: 0.388,
        4: 0.775,
        8: 1.355,
        12: 1.854,
        26: 3.563,
        52: 4.628,
    },
}
DECLINE = {6: 2.992, 24: 2.992, 48: 2.976, 7 * 24: 2.896, 30 * 24: 2.528}


def flat(table):
    """All values of a table of tables."""
    return tuple(value for row in table.values() for value in row.values())


def constant(hours, temperature, humidity, sensitivity, decline="strong", **options):
    """Index at a constant climate."""
    return mould_index(
        np.full(hours, float(temperature)), np.full(hours, float(humidity)), sensitivity, decline, **options
    )


@verifies(
    "scores",
    "Mould index: the equations",
    kind="exact",
    source=SOURCE_2010,
    shows="Growth of four classes at constant climate after 1 to 104 weeks, under days of 12 h at 97 and 12 "
    "h at 60 %, and "
    "decline from M = 3 in dry air.",
    checks=[
        Check("growth at constant climate", flat(CONSTANT), 5.1e-4, ANEW),
        Check("growth under daily cycles", flat(CYCLES), 5.1e-4, ANEW),
        Check("decline after 6 h to 30 d", tuple(DECLINE.values()), 5.1e-4, ANEW),
    ],
)
def test_mould_equations(verify):
    found = []
    for (sensitivity, temperature, humidity), table in CONSTANT.items():
        index = constant(max(table) * WEEK, temperature, humidity, sensitivity)
        found += [index[week * WEEK - 1] for week in table]
    verify("growth at constant climate", found)
    found = []
    for (sensitivity, decline), table in CYCLES.items():
        hours = np.arange(max(table) * WEEK)
        humidity = np.where(hours % 24 < 12, 97.0, 60.0)
        index = mould_index(np.full(len(hours), 22.0), humidity, sensitivity, decline)
        found += [index[week * WEEK - 1] for week in table]
    verify("growth under daily cycles", found)
    index = constant(30 * 24, 20, 50, "very sensitive", initial=3.0)
    verify("decline after 6 h to 30 d", [index[hour - 1] for hour in DECLINE])


REGRESSIONS = {  # degC, %, spruce, kiln-dried: weeks to M = 1, to M = 3, k1
    (20, 97, False, False): (1.484, 2.983, 1.979),
    (20, 97, False, True): (1.067, 2.983, 1.113),
    (20, 97, True, False): (1.706, 3.167, 2.336),
    (20, 97, True, True): (1.227, 3.167, 1.265),
    (20, 90, False, False): (4.202, 7.734, 2.380),
    (10, 90, False, False): (6.732, 12.917, 2.177),
    (5, 97, False, False): (3.808, 8.320, 1.688),
}


@verifies(
    "scores",
    "Mould index: regressions of 1999",
    kind="exact",
    source="Hukka and Viitanen 1999, Wood Science and Technology 33, 475-485, read second-hand",
    shows="Weeks to the first and to visible growth on pine and spruce, sawn and kiln-dried. Where the "
    "original factor k1 "
    "leads, M = 3, is the time that the second regression gives: 20.9 days at 20 degC and 97 %.",
    checks=[
        Check(
            "weeks to M = 1",
            tuple(r[0] for r in REGRESSIONS.values()),
            5.1e-4,
            "half the last digit",
            "weeks",
        ),
        Check(
            "weeks to M = 3",
            tuple(r[1] for r in REGRESSIONS.values()),
            5.1e-4,
            "half the last digit",
            "weeks",
        ),
        Check("k1", tuple(r[2] for r in REGRESSIONS.values()), 5.1e-4, "half the last digit"),
    ],
)
def test_regressions_of_1999(verify):
    cases = [(float(t), float(h), float(w), float(sq)) for t, h, w, sq in REGRESSIONS]
    verify("weeks to M = 1", [weeks_to_first_growth(*case) for case in cases])
    verify("weeks to M = 3", [weeks_to_visible_growth(*case[:3]) for case in cases])
    factors = [k1_1999(t, h, spruce=bool(w), kiln_dried=bool(sq)) for t, h, w, sq in cases]
    verify("k1", factors)


MEASURED = {
    "pine sapwood": ("very sensitive", 5.0),
    "spruce board": ("sensitive", 4.55),
    "concrete": ("medium resistant", 3.5),
    "aerated concrete": ("medium resistant", 3.0),
}
ABOVE = {"paper-faced foam": ("sensitive", 3.9), "glass wool": ("medium resistant", 1.8)}
READING = "the paper gives 0.5 as the usual error of the largest index; its figure was read to 0.2"


@verifies(
    "scores",
    "Mould index: measured growth",
    kind="published",
    source="Ojanen et al. 2010, 22 degC and 97 %, up to 120 weeks; figure read second-hand",
    shows="The largest index of the model against that of the laboratory. A loose check, as it must be: on "
    "four materials "
    "the model is within its stated error, on two that grew less than their class it is high, which is the "
    "safe side.",
    checks=[
        *[Check(name, value, 0.5 + 0.2, READING) for name, (_, value) in MEASURED.items()],
        *[
            Check(
                name, value, 1.2 + 0.2, "the paper admits one material of six that is off by 1.2; read to 0.2"
            )
            for name, (_, value) in ABOVE.items()
        ],
    ],
)
def test_measured_growth(verify):
    for name, (sensitivity, _) in {**MEASURED, **ABOVE}.items():
        verify(name, constant(120 * WEEK, 22, 97, sensitivity).max())
    for sensitivity, measured in ABOVE.values():
        assert constant(120 * WEEK, 22, 97, sensitivity).max() > measured


EMC = {
    30: 6.19,
    40: 7.72,
    50: 9.27,
    60: 11.0,
    65: 12.0,
    70: 13.13,
    75: 14.45,
    80: 16.04,
    85: 18.0,
    90: 20.53,
    95: 23.94,
}
EMC_ELSEWHERE = {
    (0, 50): 9.52,
    (0, 80): 16.53,
    (0, 95): 24.34,
    (30, 50): 8.97,
    (30, 80): 15.55,
    (30, 95): 23.41,
}


@verifies(
    "scores",
    "Equilibrium moisture of timber",
    kind="published",
    source="Simpson 1998, FPL-RN-0268, two-hydrate equation, coefficients read second-hand; the spot value "
    "is printed, the "
    "rest was worked out apart from hygro",
    shows="Water content in per cent by mass from temperature and humidity.",
    checks=[
        Check("60 degC and 55 %", 8.4, 0.05, "half the last digit", "%"),
        Check("60 degC and 55 %, the older table", 8.0, 0.9, "largest deviation that the source states", "%"),
        Check("20 degC, 30 to 95 %", tuple(EMC.values()), 0.0051, "half the last digit", "%"),
        Check(
            "0 and 30 degC, 50, 80 and 95 %",
            tuple(EMC_ELSEWHERE.values()),
            0.0051,
            "half the last digit",
            "%",
        ),
    ],
)
def test_equilibrium_moisture(verify):
    spot = equilibrium_moisture(np.array([60.0]), np.array([55.0]))[0]
    verify("60 degC and 55 %", spot)
    verify("60 degC and 55 %, the older table", spot)
    humidity = np.array(list(EMC), dtype=float)
    verify("20 degC, 30 to 95 %", equilibrium_moisture(np.full(len(humidity), 20.0), humidity))
    temperature, humidity = np.array(list(EMC_ELSEWHERE), dtype=float).T
    verify("0 and 30 degC, 50, 80 and 95 %", equilibrium_moisture(temperature, humidity))


@pytest.mark.parametrize("humidity", [79.9, 85.0])
def test_nothing_grows_on_what_needs_more(humidity):
    """The tables have no column for "never": below the critical humidity nothing grows in ten years."""
    assert constant(520 * WEEK, 20, humidity, "medium resistant").max() == 0.0
