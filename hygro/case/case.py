"""A loaded case: what the file says, with every default filled in."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from hygro.case.limits import limit_sources
from hygro.case.mixed import mixed_of
from hygro.case.schema import CaseFile
from hygro.case.source import CaseSource
from hygro.case.variants import LayerChoice, Variant, expand
from hygro.errors import CaseError, MaterialError
from hygro.materials import Material, ThinLayer, load_film, load_material
from hygro.materials.mixed_air import still_air


@dataclass(frozen=True, eq=False)
class Case:
    """A case that has been read and checked.

    Parameters
    ----------
    spec : CaseFile
        The sections, typed and complete.
    source : CaseSource
        The text, to point into.
    materials : mapping
        Materials made in Python, by the name under which layers call them.
    films : mapping
        Films made in Python, likewise.
    """

    spec: CaseFile
    source: CaseSource
    materials: Mapping[str, Material] = field(default_factory=dict)
    films: Mapping[str, ThinLayer] = field(default_factory=dict)

    @property
    def path(self) -> Path:
        """Case file, as it was given."""
        return self.source.path

    @property
    def base(self) -> Path:
        """Directory that relative paths in the case start from."""
        return self.source.path.parent

    @property
    def source_text(self) -> str:
        """Text of the case file."""
        return self.source.text

    @property
    def title(self) -> str:
        """Title of the case."""
        return self.spec.title

    def variants(self) -> list[Variant]:
        """List the walls to compute.

        Returns
        -------
        list of Variant
            Elevation by elevation: the bare wall, then each build-up from thin to thick.
        """
        return list(expand(self.spec))

    def variant(self, slug: str) -> Variant:
        """Find a variant.

        Parameters
        ----------
        slug : str
            As in `Variant.slug`.

        Returns
        -------
        Variant
            The variant of that name.

        Raises
        ------
        CaseError
            There is none.
        """
        from difflib import get_close_matches

        by_slug = {variant.slug: variant for variant in self.variants()}
        if slug in by_slug:
            return by_slug[slug]
        close = get_close_matches(slug, list(by_slug), n=1)
        hint = f"did you mean {close[0]!r}?" if close else f"it has {', '.join(by_slug)}"
        raise CaseError(f"the case has no variant {slug!r}", where=str(self.path), hint=hint)

    def limits(self) -> dict[str, float]:
        """Return limits and margins by key, in the units of the keys."""
        return self.spec.limits.values()

    def limit_sources(self) -> dict[str, str]:
        """Return where each limit and margin comes from, by key."""
        return limit_sources(self.limits(), self.spec.limits.sources)

    def resolved(self) -> dict[str, Any]:
        """Return the case with every default filled in.

        Returns
        -------
        dict
            JSON-able, laid out as the case file is; keys that are absent and have no default stay absent.
            Loading it again gives the same case. [limits.sources] names the source of every limit.
        """
        data = self.spec.model_dump(mode="json", by_alias=True, exclude_none=True)
        data["limits"]["sources"] = self.limit_sources()
        return data

    def material(self, layer: LayerChoice) -> Material:
        """Return the material of a layer.

        Raises
        ------
        CaseError
            There is none of that name, or its file is not usable.
        """
        assert layer.material is not None
        if layer.air_layer:
            assert layer.thickness_mm is not None
            return still_air(layer.thickness_mm / 1000.0)
        if layer.mixed:
            return mixed_of(self, layer)
        return self.named_material(layer.material, (*layer.path, "material"))

    def named_material(self, name: str, path: tuple[str | int, ...]) -> Material:
        """Return a material by the name under which a key calls it.

        Raises
        ------
        CaseError
            There is none of that name, or its file is not usable.
        """
        if name in self.materials:
            return self.materials[name]
        try:
            return load_material(name, self.base)
        except (MaterialError, OSError) as failure:
            raise self.pointed(failure, path) from None

    def film(self, layer: LayerChoice) -> ThinLayer:
        """Return the film of a layer.

        Raises
        ------
        CaseError
            There is none of that name, or its file is not usable.
        """
        assert layer.film is not None
        if layer.film in self.films:
            return self.films[layer.film]
        try:
            return load_film(layer.film, self.base)
        except (MaterialError, OSError) as failure:
            raise self.pointed(failure, (*layer.path, "film")) from None

    def pointed(self, failure: MaterialError | OSError, path: tuple[str | int, ...]) -> CaseError:
        """Say in which line of the case file a material is called for."""
        if isinstance(failure, OSError):  # such as a name that is too long for a file
            return self.source.error(path, f"the file cannot be looked up ({failure.strerror})")
        what = f"{failure.where}: {failure.what}" if failure.where else failure.what
        return self.source.error(
            path, what, found=failure.found, expected=failure.expected, hint=failure.hint
        )

    def file(self, name: str) -> Path:
        """Resolve a file named in the case, relative to the case file."""
        return self.base / name

    def files(self) -> dict[str, Path]:
        """Return the weather, rain, room and boundary files that the case names, by what they are."""
        spec = self.spec
        named: dict[str, str | None] = {
            "site.weather": spec.site.weather if spec.site else None,
            "site.rain": spec.site.rain if spec.site and spec.site.rain != "none" else None,
            "room.file": spec.room.file if spec.room else None,
            "external.file": spec.external.file,
            "internal.file": spec.internal.file,
            **{f"source {k + 1}.file": item.file for k, item in enumerate(spec.source)},
        }
        for index, room in enumerate(spec.programme.room if spec.programme else ()):
            named[f"programme.room.{index}.file"] = room.file
        return {key: self.file(name) for key, name in named.items() if name}

    def file_digests(self) -> dict[str, str]:
        """Return the sha256 of each file that the case names, by what it is."""
        return {key: hashlib.sha256(path.read_bytes()).hexdigest() for key, path in self.files().items()}

    def digest(self) -> str:
        """Return the sha256 of everything the results depend on.

        Returns
        -------
        str
            Hexadecimal. Over the resolved case, the content of the files it names and the digests of its
            materials and films; comments and the order of keys do not matter, nor where the files lie.
        """
        return self._digest

    @cached_property
    def _digest(self) -> str:
        layers = [layer for variant in self.variants() for layer in variant.layers]
        content = {
            "case": self.resolved(),
            "files": self.file_digests(),
            "materials": {
                layer.material: self.material(layer).digest() for layer in layers if layer.material
            },
            "films": {layer.film: self.film(layer).digest() for layer in layers if layer.film},
        }
        return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()
