"""Line numbers of keys in a TOML text."""

from __future__ import annotations

import tomllib

from hypothesis import given
from hypothesis import strategies as st

from hygro.case.lines import key_lines, line_of

TEXT = '''\
# a comment with = and [brackets]
title = "a # no comment, \\" still the text ]"
numbers = [
    1,  # one ]
    2,
]
words = """
[not.a.table]
x = 1
"""
path = 'C:\\raw'

[a]
b.c = 1
"quoted key" = 2
  [a.deep]
  x = { y = 1, z = [1, 2] }

[[list]]
name = "first"
[[list.inner]]
x = 1
[[list.inner]]
x = 2
[[list]]
name = "second"
[[list.inner]]
x = 3
[list.table]
y = \'\'\'
z = 1
\'\'\'
last = 1
'''


def test_lines_of_keys_tables_and_arrays_of_tables():
    tomllib.loads(TEXT)
    lines = key_lines(TEXT)
    expected = {
        ("title",): 2,
        ("numbers",): 3,
        ("words",): 7,
        ("path",): 11,
        ("a",): 13,
        ("a", "b"): 14,
        ("a", "b", "c"): 14,
        ("a", "quoted key"): 15,
        ("a", "deep"): 16,
        ("a", "deep", "x"): 17,
        ("list", 0): 19,
        ("list", 0, "name"): 20,
        ("list", 0, "inner", 0): 21,
        ("list", 0, "inner", 0, "x"): 22,
        ("list", 0, "inner", 1, "x"): 24,
        ("list", 1): 25,
        ("list", 1, "name"): 26,
        ("list", 1, "inner", 0, "x"): 28,
        ("list", 1, "table"): 29,
        ("list", 1, "table", "y"): 30,
        ("list", 1, "table", "last"): 33,
    }
    assert {path: lines.get(path) for path in expected} == expected


def test_keys_inside_strings_are_not_keys():
    lines = key_lines(TEXT)
    assert ("words", "x") not in lines
    assert ("x",) not in lines
    assert ("not",) not in lines
    assert ("list", 1, "table", "z") not in lines


def test_what_is_not_listed_falls_back_to_what_holds_it():
    lines = key_lines(TEXT)
    assert line_of(lines, ("a", "deep", "x", "y")) == 17
    assert line_of(lines, ("list", 1, "inner", 0, "missing")) == 27
    assert line_of(lines, ("nothing",)) == 1
    assert line_of(lines, ()) == 1


def test_no_newline_at_the_end():
    assert key_lines("a = 1")[("a",)] == 1
    assert key_lines("# only a comment") == {}
    assert key_lines("") == {}


@given(st.lists(st.tuples(st.booleans(), st.integers(0, 3)), min_size=1, max_size=12))
def test_each_table_of_an_array_has_its_own_line(blocks):
    """Write arrays of tables with blank lines between them, and find each where it was written."""
    rows, expected = [], []
    for with_comment, blank in blocks:
        rows += [""] * blank + (["# [[item]]"] if with_comment else [])
        expected.append(len(rows) + 1)
        rows += ["[[item]]", "key = [1,", "2]"]
    lines = key_lines("\n".join(rows))
    assert [lines[("item", i)] for i in range(len(blocks))] == expected
    assert [lines[("item", i, "key")] for i in range(len(blocks))] == [line + 1 for line in expected]
