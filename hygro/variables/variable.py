"""What the registry tells of one variable or coordinate of a result dataset."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Variable:
    """One variable or coordinate of a result dataset.

    Parameters
    ----------
    name : str
        Name in the dataset.
    symbol : str
        Symbol of the trade, or empty.
    units : str or None
        UDUNITS text; None for labels and for time stamps, whose unit belongs to their encoding.
    standard_name : str or None
        Only where the CF standard name table has one that fits.
    long_name : str
        What it is, with the sign where there is one.
    dims : tuple of str
        Dimensions.
    cell_methods : str or None
        CF cell methods: how a value stands for its interval.
    location : str
        Where in the wall it holds.
    coordinate : bool
        Whether it labels a dimension rather than being computed.
    dtype : str
        Type in the dataset: "f8", "f4", "i4", "i1", "str" or "time".
    flags : tuple of str
        Meaning of 0, 1, ... where the values are flags.
    """

    name: str
    symbol: str
    units: str | None
    standard_name: str | None
    long_name: str
    dims: tuple[str, ...]
    cell_methods: str | None
    location: str
    coordinate: bool = False
    dtype: str = "f8"
    flags: tuple[str, ...] = ()

    def attributes(self) -> dict[str, str]:
        """Return the CF attributes that are text, for writing on the variable."""
        parts = {
            "units": self.units,
            "standard_name": self.standard_name,
            "long_name": self.long_name,
            "cell_methods": self.cell_methods,
            "symbol": self.symbol or None,
            "location": self.location,
        }
        return {key: text for key, text in parts.items() if text is not None}
