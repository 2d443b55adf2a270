"""Pictures: what is drawn where, and what is refused."""

import numpy as np
import pytest
from report_walls import wall_dataset

from hygro.errors import ResultError
from hygro.report.look import NARROW, house_style, to_svg
from hygro.report.plots import CurvePoint, depth_time_map, interface_history, thickness_curve
from hygro.report.plots.common import cell_edges_mm, layer_bounds_mm, old_face_mm, spread
from hygro.report.plots.series import daily_history
from hygro.report.plots.thickness import edge_of
from hygro.scores import score

FACE = "old plaster | levelling coat"


@pytest.fixture(scope="module")
def walls():
    return [wall_dataset(thickness) for thickness in (40.0, 80.0, 120.0)]


def point(margin, heat=40.0, thickness=60.0, state="within", elevation="SW", build_up="fibre"):
    return CurvePoint(build_up, elevation, thickness, heat, margin, state)


def texts(axes):
    return [text.get_text() for text in axes.texts]


def test_depths_are_those_of_the_wall(walls):
    edges = cell_edges_mm(walls[0])
    assert edges[0] == 0.0
    # Sums of sizes carry their rounding.
    assert edges[-1] == pytest.approx(298.0, abs=1e-9)
    assert old_face_mm(walls[0]) == pytest.approx(240.0, abs=1e-9)
    assert old_face_mm(wall_dataset(None, years=1)) is None
    name, outer, inner = layer_bounds_mm(walls[0])[3]
    assert (name, outer, inner) == ("insulation", pytest.approx(250.0), pytest.approx(290.0))


def test_labels_are_moved_apart_no_further_than_needed():
    assert spread([0.0, 10.0, 20.0], 5.0) == [0.0, 10.0, 20.0]
    assert spread([10.0, 10.0], 4.0) == [8.0, 12.0]
    moved = spread([0.0, 1.0, 1.5, 30.0], 3.0)
    assert np.diff(moved).min() >= 3.0 - 1e-12
    assert moved[3] == 30.0
    assert np.mean(moved[:3]) == pytest.approx(np.mean([0.0, 1.0, 1.5]))
    assert spread([], 1.0) == []


def test_time_runs_down_and_depth_across(walls):
    figure = depth_time_map(walls[2], limit=95.0)
    axes = figure.axes[0]
    bottom, top = axes.get_ylim()
    assert bottom > top
    assert axes.get_xlim() == (0.0, pytest.approx(378.0))
    mesh = axes.collections[0]
    shown = mesh.get_array()
    field = 100.0 * walls[2]["relative_humidity_field"].values
    assert shown[0, 0] == pytest.approx(field[-731, 0], abs=1e-3)  # single precision
    assert shown[-1, -1] == pytest.approx(field[-1, -1], abs=0.1)  # half a column from the cell's centre
    assert [text for text in texts(axes) if text.startswith("insulation")] == ["insulation, 120 mm"]


def test_limit_is_drawn_only_where_it_applies(walls):
    axes = depth_time_map(walls[2], limit=85.0).axes[0]
    lines = [part for part in axes.collections if type(part).__name__ == "QuadContourSet"]
    assert len(lines) == 1
    depths = np.concatenate([path.vertices[:, 0] for path in lines[0].get_paths()])
    assert depths.min() >= 240.0
    # On the line, humidity is the limit.
    at = lines[0].get_paths()[0].vertices[5]
    field = 100.0 * walls[2]["relative_humidity_field"]
    days = field["field_time"].values.astype("datetime64[s]").astype(float) / 86400.0
    row = int(np.argmin(np.abs(days - at[1])))
    found = np.interp(at[0], 1000.0 * field["depth"].values, field.values[row])
    assert found == pytest.approx(85.0, abs=0.3)  # a day's change lies between


def test_a_limit_that_is_never_reached_draws_no_line(walls):
    axes = depth_time_map(walls[0], limit=99.9).axes[0]
    assert not [part for part in axes.collections if type(part).__name__ == "QuadContourSet"]


@pytest.mark.parametrize("kind", ["mould", "timber"])
def test_other_limits_than_humidity(walls, kind):
    figure = depth_time_map(walls[2], limit=20.0, kind=kind, place="joist end", when="2027-02-01T00:00")
    assert figure.axes


def test_the_map_shows_as_many_years_as_asked(walls):
    def rows(years):
        return depth_time_map(walls[0], years=years).axes[0].collections[0].get_array().shape[0]

    assert rows(1) == 366
    assert rows(None) == rows(5) == 731


def test_summit_of_a_history_is_the_value_that_is_scored(walls):
    scored = {(s.name, s.place): s.value for s in score(walls[2])}
    _, humidity = daily_history(walls[2], FACE)
    assert humidity.max() == scored["interface_relative_humidity", FACE]
    _, timber = daily_history(walls[2], "joist end", "timber")
    # Means over the same days, summed in another order.
    assert timber.max() == pytest.approx(scored["timber_moisture_content", "joist end"], rel=1e-12)
    _, mould = daily_history(walls[2], FACE, "mould", years=2)
    assert mould.max() == scored["mould_index_interface", FACE]


def test_history_has_a_line_a_wall_and_the_limit(walls):
    figure = interface_history(walls, FACE, limit=95.0, margin=2.0, highlight=1)
    axes = figure.axes[0]
    assert [text for text in texts(axes) if "mm" in text] == ["40 mm", "80 mm", "120 mm"]
    assert "limit 95 %" in texts(axes)
    widths = [line.get_linewidth() for line in axes.lines[:3]]
    assert widths[1] > widths[0] == widths[2]


def test_records_of_different_length_end_together():
    short, long = wall_dataset(40.0, years=1), wall_dataset(80.0, years=3)
    axes = interface_history([short, long], FACE, years=2).axes[0]
    first, second = (line.get_xdata() for line in axes.lines[:2])
    assert first[-1] == second[-1]
    assert len(first) == 365
    assert len(second) == 730


def test_margin_orders_points_and_states_fill_them():
    points = [
        point(10.0, 60.0, 20.0),
        point(1.0, 40.0, 40.0, "marginal"),
        point(-3.0, 30.0, 60.0, "exceeded"),
    ]
    axes = thickness_curve(points, bare={"SW": 120.0}).axes[0]
    line = max(axes.lines, key=lambda drawn: len(drawn.get_xdata()))
    assert list(line.get_xdata()) == [10.0, 1.0, -3.0]
    assert list(line.get_ydata()) == [60.0, 40.0, 30.0]
    fills = [drawn.get_markerfacecolor() for drawn in axes.lines if len(drawn.get_xdata()) == 1]
    assert len(set(fills)) == 3
    assert {"20", "40", "60"} <= set(texts(axes))
    low, high = axes.get_xlim()
    assert low < -3.0 < 0.0 < 10.0 < high


def test_one_panel_a_build_up_and_one_line_an_elevation():
    points = [
        point(5.0, elevation=elevation, build_up=build_up, thickness=thickness)
        for build_up in ("fibre", "plaster", "foam")
        for elevation in ("SW", "N")
        for thickness in (20.0, 40.0)
    ]
    for width, columns in ((7.4, 2), (NARROW, 1)):
        figure = thickness_curve(points, width=width)
        shown = [axes for axes in figure.axes if axes.get_visible()]
        assert [axes.get_title("left") for axes in shown] == ["fibre", "plaster", "foam"]
        assert shown[0].get_subplotspec().get_gridspec().ncols == columns
        assert sum(len(line.get_xdata()) == 2 and line.get_marker() == "None" for line in shown[0].lines) >= 2


def test_few_points_far_out_stand_at_the_edge():
    assert edge_of([point(5.0), point(3.0), point(-80.0)]) == -30.0
    assert edge_of([point(-75.0), point(-80.0), point(3.0)]) == -80.0
    axes = thickness_curve([point(5.0), point(3.0), point(-80.0, thickness=120.0)]).axes[0]
    assert "120 (\N{MINUS SIGN}80 %)" in texts(axes)
    assert axes.get_xlim()[0] > -50.0


def test_what_cannot_be_drawn_is_refused(walls):
    with pytest.raises(ResultError, match="no thickness to draw"):
        thickness_curve([])
    with pytest.raises(ResultError, match="is not finite"):
        thickness_curve([point(float("nan"))])
    with pytest.raises(ResultError, match="no history to draw"):
        interface_history([], FACE)
    with pytest.raises(ResultError, match="no such place"):
        interface_history(walls[:1], "attic")
    with pytest.raises(ResultError, match="no variable relative_humidity_field"):
        depth_time_map(walls[0].drop_vars("relative_humidity_field"))
    with pytest.raises(ResultError, match="no profiles to draw"):
        depth_time_map(walls[0].isel(field_time=slice(0, 1)))
    gap = walls[0].copy(deep=True)
    gap["relative_humidity_field"][3, 4] = np.nan
    with pytest.raises(ResultError, match="relative_humidity_field is not finite"):
        depth_time_map(gap)


def test_inline_figures_share_no_id_and_show_texts_as_they_stand():
    with house_style():
        figure = thickness_curve([point(5.0, build_up="a < b & $c$ $")])
    first, second = to_svg(figure, "one", "x"), to_svg(figure, "two", 'say "x" <i>')
    assert 'id="one-' in first
    assert 'id="one-' not in second
    assert "a &lt; b &amp; $c$ $" in first
    assert 'aria-label="say &quot;x&quot; &lt;i&gt;"' in second
    assert to_svg(figure, "one", "x") == first
    assert "xmlns" not in first


def test_pictures_do_not_change_the_callers_settings(walls):
    import matplotlib

    before = dict(matplotlib.rcParams)
    depth_time_map(walls[0], limit=90.0)
    assert dict(matplotlib.rcParams) == before


def test_a_year_that_ends_within_its_last_month_has_twelve_months():
    from matplotlib.figure import Figure

    from hygro.report.plots.common import month_ticks

    start = np.datetime64("2001-10-01T00:00")
    for end in ("2002-09-30T00:00", "2002-10-01T00:00"):
        axis = Figure().subplots().xaxis
        month_ticks(axis, start, np.datetime64(end), start, 1)
        names = [label.get_text() for label in axis.get_ticklabels()]
        assert names[0] == "Oct\nyear 1"
        assert names[-1] == "Sep"
        assert len(names) == 12
