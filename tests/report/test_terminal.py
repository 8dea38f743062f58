"""Tables on terminals of every kind."""

from __future__ import annotations

import pytest

from chartscan.report.terminal import add_row, console, swatch, swatch_pair, table, true_colour

RED = (200, 0, 0)


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    """A terminal that shows true colour, whatever the tests run in."""
    for name in ("NO_COLOR", "COLUMNS", "TTY_COMPATIBLE", "TTY_INTERACTIVE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLORTERM", "truecolor")
    return monkeypatch


def test_a_true_colour_terminal_shows_the_very_colour(
    terminal: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    target = console()
    assert true_colour(target)
    target.print(swatch_pair(target, RED, (1, 2, 3)))
    out = capsys.readouterr().out
    assert "\x1b[48;2;200;0;0m" in out
    assert "\x1b[48;2;1;2;3m" in out


@pytest.mark.parametrize(
    ("name", "value"),
    [("NO_COLOR", "1"), ("COLORTERM", ""), ("TERM", "dumb")],
    ids=["NO_COLOR", "256 colours", "dumb"],
)
def test_a_terminal_that_cannot_show_it_gets_hex(
    terminal: pytest.MonkeyPatch, name: str, value: str
) -> None:
    terminal.setenv(name, value)
    target = console()
    assert swatch(target, RED).plain == "#c80000"
    assert swatch_pair(target, RED, None).plain == "#c80000 -"


def test_output_to_a_pipe_has_no_escape_codes(
    terminal: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    terminal.delenv("FORCE_COLOR")
    target = console()
    rows = table("Code", "Colour")
    add_row(rows, ["A", swatch(target, RED)])
    target.print(rows)
    out = capsys.readouterr().out
    assert "\x1b" not in out
    assert "#c80000" in out


def test_columns_sets_the_width_down_to_what_can_be_read(terminal: pytest.MonkeyPatch) -> None:
    terminal.setenv("COLUMNS", "120")
    assert console().width == 120
    terminal.setenv("COLUMNS", "3")
    assert console().width == 40


def test_a_long_name_folds_within_80_columns_and_numbers_stay_whole(
    terminal: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    terminal.delenv("FORCE_COLOR")
    terminal.setenv("COLUMNS", "80")
    rows = table("Code", "Name", "Stitches", right=("Stitches",), whole=("Code",))
    add_row(rows, ["LONG-CODE-17", "a name that goes on and on " * 5, "1,234,567"])
    console().print(rows)
    lines = capsys.readouterr().out.splitlines()
    assert max(len(line) for line in lines) <= 80
    assert any("LONG-CODE-17" in line and "1,234,567" in line for line in lines)


def test_a_name_cannot_steer_the_terminal_nor_use_markup(
    terminal: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    terminal.delenv("FORCE_COLOR")
    rows = table("Name")
    add_row(rows, ["\x1b]0;title\x07[bold]red[/bold] :rose:\x1b[2J"])
    console().print(rows)
    out = capsys.readouterr().out
    assert "\x1b" not in out
    assert "[bold]red[/bold] :rose:" in out


def test_two_swatches_lie_edge_to_edge_and_are_wide_enough_to_compare(
    terminal: pytest.MonkeyPatch,
) -> None:
    target = console()
    assert swatch_pair(target, RED, (1, 2, 3)).plain == " " * 8
    assert swatch(target, None).plain == "-"


def test_numbers_stand_at_the_right_edge_and_words_at_the_left(
    terminal: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """So that units stand under units."""
    terminal.delenv("FORCE_COLOR")
    rows = table("Code", "Stitches", right=("Stitches",))
    add_row(rows, ["A", "12"])
    add_row(rows, ["BRA12", "1,234"])
    console().print(rows)
    lines = [line.rstrip() for line in capsys.readouterr().out.splitlines()]
    assert [lines[0], *lines[2:]] == ["Code   Stitches", "A            12", "BRA12     1,234"]
