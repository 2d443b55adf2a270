"""Data flows one way: a package imports only packages to its left. Walks every import and proves it."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "hygro"

ORDER = (
    {"constants", "errors", "variables"},
    {"whole_files"},
    {"physics"},
    {"materials", "climate"},
    {"case"},
    {"model"},
    {"grid"},
    {"solve"},
    {"results"},
    {"scores"},
    {"decide"},
    {"report"},
    {"batch"},
    {"cli"},
)
RANK = {name: rank for rank, names in enumerate(ORDER) for name in names}

FILES = sorted(path for path in PACKAGE.rglob("*.py") if path != PACKAGE / "__init__.py")


def room(path):
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported(path):
    """Yield the full name of every module of hygro that a file imports, wherever the import stands."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            yield node.module or ""
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def rooms_of(names):
    parts = [name.split(".") for name in names]
    return {part[1] for part in parts if part[0] == "hygro" and len(part) > 1 and part[1] in RANK}


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_point_left(path):
    own = room(path)
    for other in rooms_of(imported(path)) - {own}:
        assert RANK[other] < RANK[own], f"{own} must not import {other}"


def test_every_room_is_ranked():
    assert {room(path) for path in FILES} <= set(RANK)


@pytest.mark.parametrize("path", [p for p in FILES if room(p) in {"physics", "grid", "solve"}], ids=str)
def test_core_knows_neither_files_nor_screens(path):
    outside = {name.split(".")[0] for name in imported(path)}
    assert not outside & {
        "xarray",
        "pandas",
        "pydantic",
        "click",
        "rich",
        "tomllib",
        "netCDF4",
        "matplotlib",
        "pvlib",
    }
    assert "case" not in rooms_of(imported(path))


def test_kernels_import_only_what_a_compiler_can_follow():
    for name in ("layout", "state", "liquid", "flows", "sources", "sweep", "solves", "steps", "kernels"):
        path = PACKAGE / "solve" / f"{name}.py"
        allowed = {"numpy", "__future__", "hygro"}
        assert {n.split(".")[0] for n in imported(path)} <= allowed
        assert rooms_of(imported(path)) <= {"constants", "physics", "materials", "solve"}


@pytest.mark.parametrize("name", ["scores", "report"])
def test_scores_and_report_read_results_only(name):
    for path in (p for p in FILES if room(p) == name):
        assert not rooms_of(imported(path)) & {"model", "grid", "solve"}, path
