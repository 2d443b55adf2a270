"""Heat and moisture in a half-space after a step at its surface: an ordinary boundary-value problem.

With a uniform start and a surface state that steps once and stays, temperature and suction depend on eta =
x / sqrt(t) alone. The balances of EN 15026 then read, with G = sqrt(t) g for the water flux and Q = sqrt(t)
q for conducted plus latent heat,

    G' = eta/2 w'          Q' = eta/2 (rho c + c_w w) T' - c_w G T'
    G  = -delta/mu p' - K_T Theta'          Q = -lambda T' - h_v delta/mu p'

where the last term of Q' is the sensible heat that moving water carries. Everything here is written out
anew from the standard; of hygro it uses only the constants, so that a fault in its curves, tables or flows
cannot hide.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_bvp
from scipy.special import erfc

from hygro.constants import (
    EVAPORATION_ENTHALPY,
    GAS_CONSTANT_VAPOUR,
    WATER_DENSITY,
    WATER_HEAT_CAPACITY,
)


def saturation_pressure(temperature):
    """EN ISO 13788 above 0 degC, and its slope [Pa], [Pa/K]."""
    celsius = temperature - 273.15
    value = 610.5 * np.exp(17.269 * celsius / (237.3 + celsius))
    return value, value * 17.269 * 237.3 / (237.3 + celsius) ** 2


@dataclass(frozen=True)
class HalfSpace:
    """Material and step. Functions take u = ln(suction/Pa) and, where two, temperature in K.

    `water` and `water_slope` are w and dw/du, `potential_slope` is dTheta/du without viscosity,
    `resistance` is mu, `conductivity` takes w, `air` is the vapour permeability of still air, `mobility`
    the viscosity factor on liquid flow.
    """

    heat_capacity: float
    water: Callable
    water_slope: Callable
    potential_slope: Callable
    resistance: Callable
    conductivity: Callable
    air: Callable
    mobility: Callable
    start: tuple[float, float]
    surface: tuple[float, float]
    advection: bool = True

    def gradients(self, temperature, u, water_flux, heat_flux):
        """T' and u' for given G and Q."""
        saturation, slope = saturation_pressure(temperature)
        reduced = np.exp(u) / (WATER_DENSITY * GAS_CONSTANT_VAPOUR * temperature)
        humidity = np.exp(-reduced)
        vapour = self.air(temperature) / self.resistance(u)
        vapour_t = vapour * humidity * (slope + saturation * reduced / temperature)
        vapour_u = -vapour * humidity * saturation * reduced
        liquid_u = self.mobility(temperature) * self.potential_slope(u)
        # -G = vapour_t T' + (vapour_u + liquid_u) u';  -Q = (lambda + h vapour_t) T' + h vapour_u u'
        m_u = vapour_u + liquid_u
        h_t = self.conductivity(self.water(u)) + EVAPORATION_ENTHALPY * vapour_t
        h_u = EVAPORATION_ENTHALPY * vapour_u
        determinant = vapour_t * h_u - m_u * h_t
        return (
            (m_u * heat_flux - h_u * water_flux) / determinant,
            (h_t * water_flux - vapour_t * heat_flux) / determinant,
        )

    def scales(self):
        """Length of the warming front and sizes of the fluxes, so that the unknowns are of order one."""
        wet, dry = (float(self.water(np.log(s))) for _, s in (self.surface, self.start))
        storage = self.heat_capacity + WATER_HEAT_CAPACITY * dry
        length = np.sqrt(float(self.conductivity(dry)) / storage)
        step = abs(self.surface[0] - self.start[0]) or 1.0
        return length, max(abs(wet - dry), 1.0) * 0.01 * length, storage * step * length

    def solve(self, front, tolerance=1e-6, stages=1, reach=9.0, most_nodes=100_000):
        """Solve; `front` is a guess of eta where the moisture front sits, `stages` ramps the step up.

        Returns
        -------
        callable
            Takes eta [m/s^0.5]; returns temperature [K], water content [kg/m3] and suction [Pa].
        float
            Water taken up over sqrt(t) [kg/(m2 s^0.5)].
        """
        length, per_g, per_q = self.scales()
        (t_in, s_in), (t_out, s_out) = self.start, self.surface
        u_in, u_out = np.log(s_in), np.log(s_out)

        def slopes(z, y):
            eta = z * length
            t_x, u_x = self.gradients(y[0], y[1], y[2] * per_g, y[3] * per_q)
            g_x = 0.5 * eta * self.water_slope(y[1]) * u_x
            stored = self.heat_capacity + WATER_HEAT_CAPACITY * self.water(y[1])
            carried = WATER_HEAT_CAPACITY * y[2] * per_g if self.advection else 0.0
            q_x = (0.5 * eta * stored - carried) * t_x
            return length * np.stack([t_x, u_x, g_x / per_g, q_x / per_q])

        near = 3.0 * front / length
        z = np.concatenate([[0.0], np.geomspace(1e-6, near, 600), np.linspace(near, reach, 400)[1:]])
        share = erfc(z * length / front)
        first = 1.0 / stages
        y = np.stack([
            t_in + first * (t_out - t_in) * erfc(z / 2.0), u_in + first * (u_out - u_in) * share,
            0.5 * share * first,
            0.5 * erfc(z / 2.0) * first,
        ])  # fmt: skip
        for k in range(1, stages + 1):
            t_k = t_in + (t_out - t_in) * k / stages
            u_k = u_in + (u_out - u_in) * k / stages

            def ends(a, b, t_k=t_k, u_k=u_k):
                return np.array([a[0] - t_k, a[1] - u_k, b[0] - t_in, b[1] - u_in])

            accuracy = tolerance if k == stages else 1e-3
            solution = solve_bvp(slopes, ends, z, y, tol=accuracy, max_nodes=most_nodes)
            if not solution.success:
                raise AssertionError(f"stage {k} of {stages}: {solution.message}")
            z, y = solution.x, solution.y

        def profile(eta):
            y = solution.sol(np.minimum(np.asarray(eta) / length, reach))
            return y[0], self.water(y[1]), np.exp(y[1])

        return profile, 2.0 * float(solution.sol(0.0)[2]) * per_g
