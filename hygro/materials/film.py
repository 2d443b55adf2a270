"""Thin layers without thickness: paints, membranes, foils."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from hygro.errors import MaterialError
from hygro.materials.sources import End, Source
from hygro.physics.typing import FloatArray

FILM_HUMIDITY = np.linspace(0.0, 1.0, 101)
"""Relative humidities at which the resistance of a film is stated."""

LEAST_S_D, GREATEST_S_D = 1e-4, 1e5
"""Plausible diffusion-equivalent air layer thickness [m]."""


def check_s_d(s_d: FloatArray, where: str) -> None:
    """Refuse resistances that no film has.

    Parameters
    ----------
    s_d : array, shape (101,)
        [m].
    where : str
        Name of the film, or file and line.

    Raises
    ------
    MaterialError
        With the ends found.
    """
    if s_d.shape != FILM_HUMIDITY.shape or not np.all(np.isfinite(s_d)):
        raise MaterialError("s_d of a film needs 101 finite values", where=where, found=s_d.shape)
    if s_d.min() < LEAST_S_D or s_d.max() > GREATEST_S_D:
        raise MaterialError(
            "s_d of a film is not plausible",
            where=where,
            found=(float(s_d.min()), float(s_d.max())),
            expected=f"{LEAST_S_D:g} to {GREATEST_S_D:g} m",
        )


@dataclass(frozen=True, eq=False)
class ThinLayer:
    """A film at a surface or between two layers.

    Parameters
    ----------
    name, title, description : str
        Name in case files, name for people, remarks.
    s_d : array, shape (101,)
        Diffusion-equivalent air layer thickness [m] at relative humidity 0, 0.01, ... 1.
    liquid_open : bool
        Whether liquid water passes.
    sources : tuple of Source
        One per value.
    group : str
        Shelf of the library; empty outside it.
    content : str
        The file's content in canonical form; empty for films made in Python.
    """

    name: str
    title: str
    s_d: FloatArray
    liquid_open: bool
    sources: tuple[Source, ...] = ()
    description: str = ""
    group: str = ""
    content: str = field(default="", repr=False)

    def __post_init__(self) -> None:
        check_s_d(self.s_d, self.name)

    def digest(self) -> str:
        """Fingerprint of the content: sha256 of the file's values, or of the array."""
        text = self.content or f"{self.name} {self.liquid_open} {[f'{value:.12g}' for value in self.s_d]}"
        return hashlib.sha256(text.encode()).hexdigest()

    def with_value(self, key: str, end: End | float) -> ThinLayer:
        """Return the film with its resistance at one end of its spread.

        Parameters
        ----------
        key : str
            "s_d".
        end : {"low", "high"} or float
            End of the stated spread, or s_d [m] at 50 % relative humidity within it; a curve over humidity
            moves as a whole, in proportion.

        Raises
        ------
        MaterialError
            If the film states no spread, was made in Python, or the number lies outside the spread.
        """
        from hygro.materials.varied import varied_film  # needs the parser, which needs this module

        return varied_film(self, key, end)

    @classmethod
    def from_resistance(
        cls, name: str, s_d: float | Callable[[FloatArray], FloatArray], *, liquid_open: bool, title: str = ""
    ) -> ThinLayer:
        """Make a film from a number or a function of relative humidity.

        Parameters
        ----------
        name : str
            Name.
        s_d : float or callable
            [m]; a callable takes relative humidity [1].
        liquid_open : bool
            Whether liquid water passes.
        title : str, optional
            Name for people.

        Raises
        ------
        MaterialError
            If s_d is not plausible.
        """
        values = s_d(FILM_HUMIDITY) if callable(s_d) else np.full(FILM_HUMIDITY.shape, float(s_d))
        return cls(name, title or name, np.asarray(values, dtype=float), liquid_open)
