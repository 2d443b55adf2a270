"""The picture of a programme of coats: what is drawn, and where."""

import numpy as np
import pytest
from coats_case import TEXT

from hygro.case import parse_case
from hygro.decide.coats_programme import Programme, StepRow
from hygro.decide.coats_steps import Step
from hygro.report.look import house_style
from hygro.report.plots.coats import coats_picture

VARIANT = parse_case(TEXT).variants()[-1]


def programme(days=40, finish=10, settled=30, repeating=True):
    """Two coats that dry at an even rate, made up."""
    day = np.arange(days + 1.0)
    water = np.column_stack([np.full(days + 1, 2.0), np.maximum(5.0 - day / 5.0, 0.1), (day >= 5) * 3.0])
    steps = [Step("coat", f"coat {k}", thickness=0.015) for k in (1, 2)]
    return Programme(
        variant=VARIANT,
        start="05-01",
        room="$ventilated",
        rows=(StepRow(steps[0], 0, "05-01", 5), StepRow(steps[1], 5, "05-06", 9)),
        finish_day=finish,
        settled_day=settled,
        note="",
        dates=("05-01",) * (days + 1),
        layers=("old wall", "coat 1", "coat 2"),
        water=water,
        repeating=np.full(days + 1, 2.2) if repeating else np.empty(0),
        balance=0.0,
    )


def drawn(*programmes):
    figure = coats_picture(list(programmes))
    with house_style():
        figure.canvas.draw()
    return figure


def test_one_strip_a_programme_on_common_scales():
    figure = drawn(programme(), programme(days=90))
    assert len(figure.axes) == 2
    assert {axes.get_xlim() for axes in figure.axes} == {(0.0, 90.0)}
    assert len({axes.get_ylim() for axes in figure.axes}) == 1
    assert figure.axes[0].get_title(loc="left") == r"Begun 1 May, room \$ventilated, facing SW"


def test_coats_and_days_are_marked():
    (axes,) = drawn(programme()).axes
    marked = {line.get_xdata()[0] for line in axes.lines if len(set(line.get_xdata())) == 1}
    assert marked == {0, 5, 10, 30}
    assert [text.get_text() for text in axes.texts] == ["finish, day 10", "repeats its year, day 30"]


def test_the_top_of_the_stack_is_the_water_of_the_wall():
    made = programme()
    (axes,) = drawn(made).axes
    top = max(path.vertices[:, 1].max() for area in axes.collections for path in area.get_paths())
    assert top == pytest.approx(made.water.sum(axis=1).max())


def test_a_programme_that_ends_early_says_so():
    (axes,) = drawn(programme(finish=None, settled=None, repeating=False)).axes
    assert [text.get_text() for text in axes.texts] == ["never ready for the finish"]
