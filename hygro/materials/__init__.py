"""Materials and films: curves with unit and source, the library, and tables for the solver."""

from hygro.materials.census import Census, library_census
from hygro.materials.film import ThinLayer
from hygro.materials.library import list_films, list_materials, load_film, load_material
from hygro.materials.material import Material
from hygro.materials.sources import Source

__all__ = [
    "Census",
    "Material",
    "Source",
    "ThinLayer",
    "library_census",
    "list_films",
    "list_materials",
    "load_film",
    "load_material",
]
