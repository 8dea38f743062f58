"""Several looks at one page: which size most of them speak for."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, cast

import numpy as np

from chartscan.reading.lattice.contest import Judged
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.lattice.votes import Found, agreed, decided, others, outweighs, stands_out

NOTHING = cast(Any, None)  # how and where it was looked at says nothing about the vote


def found(columns: int, score: float, *, whole: bool = True, sure: bool = False) -> Found:
    lattice = Lattice(columns, 10, np.eye(3), FLAT, drawn=True)
    return Found(NOTHING, 1, NOTHING, NOTHING, lattice, score, whole, sure)


def test_two_looks_that_agree_outvote_one_that_is_better() -> None:
    """A grid of 41 columns, seen twice, is no 82 columns because one look was sharp."""
    weak, strong, other = found(41, 0.3), found(41, 0.4), found(82, 0.6, sure=True)
    assert agreed([weak, other, strong]) is strong
    assert agreed([weak, other]) is other
    assert agreed([found(82, 0.75, sure=True), weak, strong]) is not strong


def test_one_look_that_covers_little_of_the_page_is_not_believed() -> None:
    assert agreed([found(41, 0.9)]) is None
    assert agreed([]) is None
    assert agreed([found(41, 0.9, sure=True)]) is not None


def test_a_look_that_slipped_has_no_vote() -> None:
    """However well it covers the page: it ends where no cell ends."""
    slipped = [found(43, 0.9, whole=False, sure=True)] * 3
    true = found(41, 0.2, sure=True)
    assert agreed([*slipped, true]) is true


def test_the_rivals_are_the_best_of_each_other_size() -> None:
    first = found(41, 0.9)
    seen = [found(82, 0.3), found(40, 0.4), first, found(82, 0.5), found(41, 0.8)]
    assert [(o.size, o.score) for o in others(first, seen)] == [((82, 10), 0.5), ((40, 10), 0.4)]


def test_a_size_outweighs_the_others_by_its_share_of_all_that_was_seen() -> None:
    """Whole looks speak for it; one that slipped speaks for nobody, but counts."""
    first = found(41, 0.3)
    seen = [first, found(41, 0.3), found(82, 0.2), found(41, 0.2, whole=False)]
    assert outweighs(first, seen, 0.6)
    assert not outweighs(first, seen, 0.61)


def test_a_small_grid_stands_out_of_print_that_covers_more_of_the_page() -> None:
    """By how likely each is a grid, whatever it covers; not where another may be one as well."""
    grid, print_around, half = found(9, 0.1), found(44, 0.9, whole=False), found(18, 0.2)
    likely = {9: 11.0, 44: -3.5, 18: 0.5}

    def judge(lattice: Lattice) -> list[Judged]:
        own = Extent(0, lattice.columns, 0, lattice.rows)
        other = replace(own, right=lattice.columns - 1)  # its end moved: no word on it
        return [Judged(lattice, own, likely[lattice.columns]), Judged(lattice, other, 99.0)]

    assert stands_out(grid, [print_around, grid], judge, 8.0)
    assert not stands_out(grid, [print_around, grid], judge, 11.5)
    assert not stands_out(grid, [print_around, grid, half], judge, 8.0)
    assert not stands_out(print_around, [print_around, grid], judge, 8.0)


def test_a_size_is_decided_by_one_sure_look_or_by_several_seeds() -> None:
    sure = found(41, 0.8, sure=True)
    assert decided([sure], 2)
    assert not decided([found(82, 0.8), sure], 2)
    first, second = (replace(found(41, 0.3), seed=cast(Any, place)) for place in ([1], [2]))
    assert decided([first, second], 2)
    assert not decided([first, first], 2)
    assert not decided([first, found(82, 0.9), second], 2)


def test_two_looks_agree_on_a_size_or_where_one_is_far_worse() -> None:
    good = found(41, 0.8)
    assert good.agrees(found(41, 0.8))
    assert good.agrees(found(82, 0.39))
    assert not good.agrees(found(82, 0.4))
    assert not found(82, 0.39).agrees(good)
