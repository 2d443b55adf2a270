"""Materials and films: curves with unit and source, the library, and tables for the solver."""

from hygro.materials.film import ThinLayer
from hygro.materials.library import list_films, list_materials, load_film, load_material
from hygro.materials.material import Material
from hygro.materials.sources import Source

__all__ = ["Material", "Source", "ThinLayer", "list_films", "list_materials", "load_film", "load_material"]
