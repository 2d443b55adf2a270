"""A half-space of wet ground that freezes from its face: Neumann's solution, and the one over an interval.

Stefan's problem of two phases (Neumann's solution; Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed.
1959, chapter XI, from memory; derived here so that it can be checked). Both phases have the same conductivity
k and heat capacity C, diffusivity a = k / C. The half-space starts at T_i above the freezing point T_f, its
face is held at T_s below. With nothing else of the dimension of a length the answer depends on

    z = x / (2 sqrt(a t))            T'' + 2 z T' = 0            T = A + B erf(z)

and the front sits at a fixed z = l, that is X = 2 l sqrt(a t). Between face, front and depth

    T = T_s + (T_f - T_s) erf(z) / erf(l)      z < l              T = T_i - (T_i - T_f) erfc(z) / erfc(l)

What freezes while the front moves on by dX gives off Lambda dX (Lambda in J/m3), which the frozen side leads
away beyond what the thawed side brings: k T'_frozen - k T'_thawed = Lambda dX/dt = Lambda l sqrt(a / t), or

    exp(-l^2) [(T_f - T_s) / erf(l) - (T_i - T_f) / erfc(l)] = sqrt(pi) l Lambda / C

Its left side falls with l and the right side rises: one root. Heat that has left through the face is the
integral of k T' at z = 0, 2 k (T_f - T_s) / erf(l) sqrt(t / (pi a)).

Where water freezes evenly between T_b and T_e, T_e < T_b, instead of at a point, there is a third zone whose
heat capacity is C r^2 = C + Lambda / (T_b - T_e), and T = A + B erf(r z) within. Temperature and T' (ice is
continuous, so no heat is set free at a point) are continuous at both of its ends, l_e < l_b: two equations.
Nothing here is taken from hygro.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import erf, erfc, erfcx

ROOT_PI = np.sqrt(np.pi)


@dataclass(frozen=True)
class Front:
    """The problem with a sharp front.

    Parameters
    ----------
    conductivity, capacity, latent : float
        k [W/(m K)], C [J/(m3 K)], Lambda [J/m3].
    face, start, freezing : float
        T_s, T_i, T_f [degC].
    """

    conductivity: float
    capacity: float
    latent: float
    face: float
    start: float
    freezing: float

    @property
    def stefan_number(self):
        """Sensible heat of the frozen side over latent heat, C (T_f - T_s) / Lambda [1]."""
        return self.capacity * (self.freezing - self.face) / self.latent

    def reach(self, seconds):
        """The length 2 sqrt(a t) [m]."""
        return 2.0 * np.sqrt(self.conductivity / self.capacity * np.asarray(seconds))

    @cached_property
    def root(self):
        """The l of the front [1]."""

        def excess(z):
            sides = (self.freezing - self.face) / erf(z) - (self.start - self.freezing) / erfc(z)
            return np.exp(-z * z) * sides - ROOT_PI * z * self.latent / self.capacity

        return brentq(excess, 1e-6, 5.0, xtol=1e-13)

    @property
    def depth(self):
        """Of the front in z: water frozen over water there is."""
        return self.root

    def temperature(self, z):
        """Profile [degC]."""
        frozen = self.face + (self.freezing - self.face) * erf(z) / erf(self.root)
        thawed = self.start - (self.start - self.freezing) * erfc(z) / erfc(self.root)
        return np.where(z < self.root, frozen, thawed)

    def heat_left(self, seconds):
        """Through the face since the start [J/m2]."""
        slope = (self.freezing - self.face) / erf(self.root)
        return slope * self.capacity * self.reach(seconds) / ROOT_PI


@dataclass(frozen=True)
class IntervalFront:
    """The same where water freezes evenly from `begin` down to `end` [degC]."""

    sharp: Front
    begin: float
    end: float

    @property
    def steepness(self):
        """The r of the zone that freezes [1]."""
        return np.sqrt(1.0 + self.sharp.latent / self.sharp.capacity / (self.begin - self.end))

    def reach(self, seconds):
        """The length 2 sqrt(a t) [m]."""
        return self.sharp.reach(seconds)

    def zone(self, low, high):
        """Of the zone from z = `low` on: the share of its step up to `high`, times exp(y^2), y = r `low`.

        erf(r high) - erf(y), without the cancellation of two numbers next to 1.
        """
        y, top = self.steepness * low, self.steepness * high
        return erfcx(y) - erfcx(top) * np.exp(y * y - top * top)

    @cached_property
    def ends(self):
        """l_e and l_b [1]."""
        r, step = self.steepness, self.begin - self.end

        def thawed_side(low):
            """l_b from the flux at l_e."""
            slope = (self.end - self.sharp.face) * np.exp(-low * low) / erf(low)
            if step * r / erfcx(r * low) >= slope:
                return np.inf
            return brentq(lambda high: slope * self.zone(low, high) - step * r, low, low + 3.0, xtol=1e-14)

        def excess(low):
            high = thawed_side(low)
            if np.isinf(high):
                return -1.0
            left = step * r * np.exp((r * low) ** 2 - (r * high) ** 2) / self.zone(low, high)
            return left - (self.sharp.start - self.begin) * np.exp(-high * high) / erfc(high)

        low = brentq(excess, 0.5 * self.sharp.root, 1.2 * self.sharp.root, xtol=1e-13)
        return low, thawed_side(low)

    @cached_property
    def depth(self):
        """Of the ice, gathered from the face on, in z."""
        low, high = self.ends
        return low + quad(lambda z: 1.0 - self.zone(low, z) / self.zone(low, high), low, high)[0]

    def temperature(self, z):
        """Profile [degC]."""
        low, high = self.ends
        face, start = self.sharp.face, self.sharp.start
        frozen = face + (self.end - face) * erf(z) / erf(low)
        thawed = start - (start - self.begin) * erfc(z) / erfc(high)
        share = self.zone(low, np.clip(z, low, high)) / self.zone(low, high)
        between = self.end + (self.begin - self.end) * share
        return np.where(z < low, frozen, np.where(z > high, thawed, between))

    def heat_left(self, seconds):
        """Through the face since the start [J/m2]."""
        slope = (self.end - self.sharp.face) / erf(self.ends[0])
        return slope * self.sharp.capacity * self.reach(seconds) / ROOT_PI
