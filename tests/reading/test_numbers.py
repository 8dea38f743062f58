"""Numbers of the reader stand in settings or in named constants, with what they mean."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import chartscan.reading

HOUSE = Path(chartscan.reading.__file__).parent
# Nought to four count ends, channels, sides and corners; a half is a middle; a byte holds 256.
PLAIN = {0, 1, 2, 3, 4, 0.5, 255, 256}
GUARD = 1e-5  # what is smaller keeps from dividing by nought


def bare_numbers(source: str) -> list[tuple[int, float]]:
    """Line and value of every number in the body of a function that isn't plain arithmetic."""
    bodies = [
        statement
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.FunctionDef)
        for statement in node.body
    ]
    found = {
        (node.lineno, node.value)
        for body in bodies
        for node in ast.walk(body)
        if isinstance(node, ast.Constant)
        and type(node.value) in (int, float)
        and isinstance(node.value, (int, float))
        and abs(node.value) > GUARD
        and node.value not in PLAIN
    }
    return sorted(found)


FILES = sorted(HOUSE.rglob("*.py"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(HOUSE)))
def test_no_bare_number_stands_in_an_expression(path: Path) -> None:
    assert bare_numbers(path.read_text(encoding="utf-8")) == []


def test_a_bare_number_is_seen_and_a_named_one_is_not() -> None:
    source = "NEAR = 0.35\n\ndef close(x: float, least: float = 0.7) -> bool:\n    return x < {}\n"
    assert bare_numbers(source.format("NEAR")) == []
    assert bare_numbers(source.format("0.35 * x")) == [(4, 0.35)]
    assert bare_numbers(source.format("-7")) == [(4, 7)]
