"""Modules and functions stay short enough to be read at one sitting."""

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "hygro"
FILES = sorted(PACKAGE.rglob("*.py"))

LONGEST_MODULE = 500
LONGEST_BODY = 80


def bodies(tree):
    """Yield each function's name and the lines of its body without the docstring."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            body = node.body[1:] if ast.get_docstring(node) is not None else node.body
            yield node.name, (body[-1].end_lineno - body[0].lineno + 1) if body else 0


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_short(path):
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= LONGEST_MODULE
    long = {name: lines for name, lines in bodies(ast.parse(text)) if lines > LONGEST_BODY}
    assert not long


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_eval_no_pickle(path):
    names = {
        node.id
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Name)
    }
    assert not names & {"eval", "exec", "pickle", "__import__"}
