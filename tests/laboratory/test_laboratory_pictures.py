"""Pictures of materials: the right curves, the band of the spread, and files that are whole."""

from pathlib import Path

import numpy as np
import pytest
from solver_walls import plain_material

from hygro.errors import MaterialError
from hygro.materials import load_material
from hygro.materials.liquid import ConductivityTable, DiffusivityTable
from hygro.report.plots.material import MOST_COMPARED, material_picture, save_picture
from hygro.report.plots.material_curves import PANELS, curves_of

EXAMPLE = Path(__file__).parents[2] / "docs" / "own-materials" / "invented-brick.toml"


def test_curves_of_the_example():
    curves = curves_of(load_material(EXAMPLE))
    assert tuple(curves) == PANELS
    assert {curve.kind for curve in curves.values()} == {"derived"}
    for curve in curves.values():
        assert np.all(np.diff(curve.x) > 0.0)
        assert np.all(curve.low <= curve.y * (1.0 + 1e-12))
        assert np.all(curve.high >= curve.y * (1.0 - 1e-12))
        assert curve.spreads
    suction, held = curves["storage"].points
    assert held == pytest.approx([4.5])
    assert np.interp(suction, curves["storage"].x, curves["storage"].y) == pytest.approx(4.5, rel=1e-3)


def test_band_is_that_of_the_spread():
    """Liquid: the factors 0.1 and 10 are wider than A from 0.09 to 0.32 (0.25 to 3.2 times); vapour at 50 %
    and storage at 80 % as the file's sources state them."""
    material = load_material(EXAMPLE)
    curves = curves_of(material)
    liquid = curves["liquid"]
    assert liquid.low / liquid.y == pytest.approx(0.1)
    assert liquid.high / liquid.y == pytest.approx(10.0)
    vapour, stated = curves["vapour"], material.source("vapour")
    assert np.interp(50.0, vapour.x, vapour.low) == pytest.approx(stated.low, rel=2e-3)
    assert np.interp(50.0, vapour.x, vapour.high) == pytest.approx(stated.high, rel=2e-3)
    storage, at_80 = curves["storage"], curves["storage"].points[0]
    assert np.interp(at_80, storage.x, storage.low) == pytest.approx(material.source("storage").low, rel=3e-3)


def test_liquid_in_all_forms():
    """The law is a straight line over three decades; a constant stays; a conductivity becomes K |ds/dw|."""
    law = curves_of(load_material("solid-brick"))["liquid"]
    assert law.y[-1] / law.y[0] == pytest.approx(1000.0)
    assert law.y[-1] == pytest.approx(3.8 * (0.2 / 240.0) ** 2)
    flat = curves_of(plain_material(liquid=DiffusivityTable((0.0,), (2e-9,))))["liquid"]
    assert flat.y == pytest.approx(2e-9)
    assert not flat.spreads
    storage = {"storage": lambda suction: 300.0 / (1.0 + 1e-6 * suction), "free_saturation": 300.0}
    table = ConductivityTable((1e2, 1e9), (1e-9, 1e-9 * (1 - 1e-9)))
    curve = curves_of(plain_material(liquid=table, **storage))["liquid"]
    # s = 1e6 (300/w - 1), so |ds/dw| at half of 300 is 1e6 * 300 / 150^2.
    assert np.interp(50.0, curve.x, curve.y) == pytest.approx(1e-9 * 1e6 * 300.0 / 150.0**2, rel=0.01)
    assert curves_of(load_material("mineral-wool"))["liquid"].x.size == 0


def words_of(figure):
    return {text.get_text() for axes in figure.axes for text in axes.texts} | {
        text.get_text() for text in figure.texts
    }


def test_picture_of_one_names_kinds_and_figures():
    figure = material_picture([load_material(EXAMPLE)])
    words = words_of(figure)
    assert {"Invented brick of a north gable", "derived", "80", "99.9"} <= words
    assert any("A_w 0.18" in text and "1720" in text for text in words)
    labels = {text.get_text() for text in figure.legends[0].get_texts()}
    assert labels == {"derived", "points of the file", "stated spread"}


def test_picture_without_liquid_says_so():
    assert "no liquid moves" in words_of(material_picture([load_material("mineral-wool")]))


def test_six_materials_are_told_apart():
    names = ["solid-brick", "limestone", "wood-fibre-rigid", "calcium-silicate", "softwood", "mineral-wool"]
    figure = material_picture([load_material(name) for name in names])
    lines = figure.axes[0].get_lines()
    looks = {(line.get_color(), line.get_linestyle(), str(line._dash_pattern)) for line in lines}
    assert len(lines) == len(looks) == MOST_COMPARED
    assert [text.get_text() for text in figure.legends[0].get_texts()] == names
    with pytest.raises(MaterialError, match="1 to 6"):
        material_picture([load_material("solid-brick")] * 7)


def test_files_are_whole_and_the_same_each_time(tmp_path):
    material = load_material(EXAMPLE)
    png = save_picture(material_picture([material]), tmp_path / "new" / "a.png")
    assert png.read_bytes().startswith(b"\x89PNG")
    first, second = (save_picture(material_picture([material]), tmp_path / f"{n}.svg") for n in "ab")
    assert first.read_bytes() == second.read_bytes()
    assert "Vapour resistance factor" in first.read_text(encoding="utf-8")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.svg", "b.svg", "new"]


def test_other_endings_and_places_are_refused(tmp_path):
    figure = material_picture([load_material(EXAMPLE)])
    with pytest.raises(MaterialError, match=r"\.png or \.svg"):
        save_picture(figure, tmp_path / "a.pdf")
    (tmp_path / "file").write_text("")
    with pytest.raises(MaterialError, match="cannot be written"):
        save_picture(figure, tmp_path / "file" / "a.png")
