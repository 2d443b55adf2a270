"""The combined method of ISO 6946, worked by hand, and its properties."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hygro.errors import MaterialError
from hygro.materials.mixed_heat import (
    Strips,
    check_shares,
    combined_resistance,
    effective_conductivities,
    mixed_name,
)

STUDS = (
    Strips(0.102, (1.0,), (0.77,)),  # brick
    Strips(0.089, (0.15, 0.85), (0.13, 0.038)),  # softwood studs and mineral wool
    Strips(0.0125, (1.0,), (0.25,)),  # plasterboard
)


def test_a_wall_with_studs_worked_by_hand():
    """No worked example of the standard was at hand; these are its clauses, digit by digit.

    R_si + R_se + brick + board = 0.13 + 0.04 + 0.13247 + 0.05 = 0.35247
    upper: 1 / (0.15 / (0.35247 + 0.68462) + 0.85 / (0.35247 + 2.34211))
         = 1 / (0.144636 + 0.315448) = 2.17352
    lower: 0.35247 + 0.089 / (0.15 * 0.13 + 0.85 * 0.038) = 0.35247 + 0.089 / 0.0518 = 2.07061
    total: 2.12207, U = 0.47124 W/(m2 K); largest error (2.17352 - 2.07061) / (2 * 2.12207) = 2.4 %
    """
    found = combined_resistance(STUDS)
    assert found.upper == pytest.approx(2.17352, abs=2e-5)
    assert found.lower == pytest.approx(2.07061, abs=2e-5)
    assert 1.0 / found.total == pytest.approx(0.47124, abs=2e-5)
    assert found.error == pytest.approx(0.0242, abs=1e-4)
    assert found.holds


def test_two_mixed_layers_worked_by_hand():
    """Blocks with 6.7 % of mortar, and battens of 11.8 % with wool between: four sections.

    Rest: 0.13 + 0.04 + brick 0.102 / 0.77 + air 0.18 + board 0.0125 / 0.25 = 0.53247
    blocks 0.1 / 0.11 = 0.90909, mortar 0.1 / 0.88 = 0.11364; wool 0.089 / 0.038 = 2.34211, battens 0.68462
    upper: 1 / (0.822906 / 3.78367 + 0.059094 / 2.98822 + 0.110094 / 2.12618 + 0.007906 / 1.33073)
         = 1 / (0.217489 + 0.019776 + 0.051780 + 0.005941) = 1 / 0.294986 = 3.38999
    lower: 0.53247 + 0.1 / 0.16159 + 0.089 / 0.048856 = 0.53247 + 0.61885 + 1.82168 = 2.97300
    """
    layers = (
        Strips(0.1, (0.933, 0.067), (0.11, 0.88)),
        Strips(0.089, (0.882, 0.118), (0.038, 0.13)),
        Strips(0.102, (1.0,), (0.77,)),
        Strips(0.18, (1.0,), (1.0,)),
        Strips(0.0125, (1.0,), (0.25,)),
    )
    found = combined_resistance(layers)
    assert found.upper == pytest.approx(3.38999, abs=2e-5)
    assert found.lower == pytest.approx(2.97300, abs=2e-5)
    series = 0.17 + sum(
        layer.thickness / k for layer, k in zip(layers, effective_conductivities(layers, found), strict=True)
    )
    assert series == pytest.approx(found.total, rel=1e-12)


def test_effective_conductivity_stands_between_both_limits():
    found = combined_resistance(STUDS)
    brick, studs, board = effective_conductivities(STUDS, found)
    assert (brick, board) == pytest.approx((0.77, 0.25))
    in_series = 1.0 / sum(f / k for f, k in zip(STUDS[1].shares, STUDS[1].conductivities, strict=True))
    assert in_series < studs < STUDS[1].parallel


def test_parts_that_conduct_alike_leave_nothing_to_combine():
    found = combined_resistance([Strips(0.1, (0.3, 0.7), (0.5, 0.5))])
    assert found.upper == pytest.approx(found.lower)
    assert effective_conductivities([Strips(0.1, (0.3, 0.7), (0.5, 0.5))], found) == pytest.approx((0.5,))


def test_limits_far_apart_are_outside_the_method():
    metal = [Strips(0.1, (0.01, 0.99), (50.0, 0.035))]
    assert not combined_resistance(metal).holds


@given(
    share=st.floats(0.01, 0.99),
    pair=st.tuples(st.floats(0.02, 3.0), st.floats(0.02, 3.0)),
    thickness=st.floats(0.005, 0.5),
)
def test_upper_is_never_below_lower(share, pair, thickness):
    found = combined_resistance([Strips(thickness, (share, 1.0 - share), pair), STUDS[0]])
    assert found.upper >= found.lower * (1.0 - 1e-12)
    assert 0.0 <= found.error + 1e-12 < 1.0


@pytest.mark.parametrize("shares", [(0.5, 0.6), (0.5, 0.4), (1.2, -0.2), (1.0, 0.0)])
def test_shares_must_make_up_the_whole(shares):
    with pytest.raises(MaterialError, match="do not make up the whole"):
        check_shares(shares)


def test_thirds_and_a_single_part():
    check_shares((0.3333333, 0.6666667))
    with pytest.raises(MaterialError, match="too few parts"):
        check_shares((1.0,))


def test_a_mix_is_called_by_its_parts():
    assert mixed_name([("softwood", 0.12), ("wool", 0.88)]) == "softwood 12 % + wool 88 %"
