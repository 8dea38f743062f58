"""Values as they are written on the command line."""

from __future__ import annotations

import click
import pytest

from chartscan.cli.ledger import parse_left
from chartscan.cli.parsing import Number


@pytest.mark.parametrize(
    ("kind", "text", "number"),
    [
        (Number(1, whole=True), "3", 3),
        (Number(1, 20, whole=True), "20", 20),
        (Number(0), "0", 0.0),
        (Number(over=0), "0,5", 0.5),
        (Number(), "-2.5", -2.5),
    ],
)
def test_a_number_within_its_bounds_is_taken(kind: Number, text: str, number: float) -> None:
    taken = kind.convert(text, None, None)
    assert taken == number
    assert type(taken) is type(number)


@pytest.mark.parametrize(
    ("kind", "text", "said"),
    [
        (Number(1, whole=True), "0", "'0' isn't a whole number of 1 or more"),
        (Number(1, 1000, whole=True), "1001", "'1001' isn't a whole number from 1 to 1,000"),
        (Number(1, whole=True), "1.5", "'1.5' isn't a whole number of 1 or more"),
        (Number(0), "-1", "'-1' isn't a number of 0 or more"),
        (Number(over=0), "0", "'0' isn't a number over 0"),
        (Number(0), "nan", "'nan' isn't a number of 0 or more"),
        (Number(), "two", "'two' isn't a number"),
        (Number(whole=True), "", "'' isn't a whole number"),
    ],
)
def test_what_is_wrong_with_a_number_is_said_in_words(kind: Number, text: str, said: str) -> None:
    with pytest.raises(click.BadParameter) as caught:
        kind.convert(text, None, None)
    assert caught.value.message == said


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("ROS1=3.5m", ("ROS1", (), (3500,))),
        ("ROS1=3.5", ("ROS1", (), (3500,))),
        ("ROS1=2sk", ("ROS1", (2.0,), ())),
        ("ROS1=0.5sk", ("ROS1", (0.5,), ())),
        ("ROS1=0,5 sk", ("ROS1", (0.5,), ())),
        ("ROS1=1/2sk", ("ROS1", (0.5,), ())),
        ("ROS1=1sk+3/4sk", ("ROS1", (1.0, 0.75), ())),
        ("Mill ROS1=1.5sk+2m", ("Mill ROS1", (1.5,), (2000,))),
    ],
)
def test_what_is_left_is_told_in_skeins_parts_of_skeins_and_lengths(
    text: str, left: tuple[object, ...]
) -> None:
    code, amount = parse_left(text)
    assert (code, amount.skeins, amount.lengths_mm) == left


@pytest.mark.parametrize(
    "text", ["ROS1", "=1sk", "ROS1=sk", "ROS1=half sk", "ROS1=1/0sk", "ROS1=-1sk", "ROS1=1//2sk"]
)
def test_what_is_left_is_refused_with_the_ways_to_write_it(text: str) -> None:
    with pytest.raises(ValueError, match=r"isn't like ROS1=3\.5m|isn't an amount like 2, 1/2"):
        parse_left(text)
