"""The examples in this wing's docstrings, and its list of public names."""

from __future__ import annotations

import doctest
import importlib
import types

import pytest

import chartscan.colour


@pytest.mark.parametrize(
    ("name", "examples"),
    [
        ("srgb", 2),
        ("lab", 1),
        ("difference", 1),
        ("direction", 1),
        ("grading", 2),
        ("adaptation", 1),
    ],
)
def test_the_examples_in_the_docstrings_are_true(name: str, examples: int) -> None:
    result = doctest.testmod(importlib.import_module(f"chartscan.colour.{name}"))
    assert result.failed == 0
    assert result.attempted >= examples


def test_the_public_names_are_those_that_are_listed() -> None:
    public = {
        name
        for name, value in vars(chartscan.colour).items()
        if not name.startswith("_") and not isinstance(value, types.ModuleType)
    }
    assert public == set(chartscan.colour.__all__)
