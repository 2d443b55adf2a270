import contextlib
import io

import pytest

from hygro.cli.output import print_json, print_table, state_words


def test_a_state_has_a_symbol_and_a_word(capsys):
    words = [state_words(state) for state in ("within", "marginal", "exceeded", "for information", "unknown")]
    assert len({text.split()[0] for text in words}) == 5
    assert all(" " in text for text in words)


def test_a_stream_without_symbols_gets_plain_ones():
    stream = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    with contextlib.redirect_stdout(stream):
        words = [state_words(state) for state in ("within", "marginal", "exceeded", "for information")]
        print_table("Title", ["name", "value>"], [["brick", "1.0"]])
    stream.seek(0)
    assert "brick" in stream.read()
    assert words == ["+ within", "~ marginal", "x exceeded", ". for information"]


def test_cells_are_printed_as_they_are(capsys):
    print_table("A [bold]title[/bold]", ["name", "value>"], [["[red]brick[/red] :smile:", "1"]])
    printed = capsys.readouterr().out
    assert "A [bold]title[/bold]" in printed
    assert "[red]brick[/red] :smile:" in printed


def test_json_refuses_what_is_no_number():
    with pytest.raises(ValueError, match="JSON"):
        print_json({"value": float("nan")})
