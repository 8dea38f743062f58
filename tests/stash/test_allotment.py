"""Which skeins a need gets, by the stitcher's rules."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.errors import StashError
from chartscan.stash.allotment import (
    EMPTY,
    PartSkein,
    Shelf,
    Supply,
    buy_for_all,
    lacking,
    left_after,
    needed_length,
    skeins_for,
    take,
    usable,
)
from chartscan.stash.rules import Rules

PUTUP = 8000
RULES = Rules()


def _supply(skeins: int = 0, *parts_mm: int, lot: str = "") -> Supply:
    shelves = (Shelf(1, lot, skeins),) if skeins else ()
    return Supply(shelves, tuple(PartSkein(10 + i, lot, mm) for i, mm in enumerate(parts_mm)))


supplies = st.builds(
    lambda skeins, parts: Supply(
        tuple(Shelf(n, "ABC"[n % 3], k) for n, k in enumerate(skeins) if k),
        tuple(PartSkein(10 + i, "ABC"[i % 3], mm) for i, mm in enumerate(parts)),
    ),
    st.lists(st.integers(0, 4), max_size=3),
    st.lists(st.integers(1, PUTUP), max_size=5),
)
rules = st.builds(
    Rules,
    keep_back=st.integers(0, 2),
    fresh_unless_more_than=st.integers(0, 2),
    parts_count=st.booleans(),
    smallest_part_mm=st.sampled_from([0, 500, 3000]),
    same_dye_lot=st.booleans(),
)
lengths = st.integers(1, 6 * PUTUP)


def test_part_skeins_go_first_and_save_a_whole_one() -> None:
    taken = take(9000, PUTUP, EMPTY, _supply(3, 2000), RULES)
    assert (taken.skeins, taken.parts) == (((1, 1),), ((10, 2000),))
    assert (taken.spare_mm, taken.lack) == (1000, 0)


def test_part_skeins_that_save_nothing_stay_in_the_drawer() -> None:
    taken = take(12000, PUTUP, EMPTY, _supply(3, 2000), RULES)
    assert (taken.skeins, taken.parts, taken.lack) == (((1, 2),), (), 0)


def test_the_shortest_part_that_will_do_is_taken() -> None:
    assert take(2500, PUTUP, EMPTY, _supply(1, 7000, 3000, 2000), RULES).parts == ((11, 3000),)


def test_short_parts_are_left_out_and_all_of_them_if_they_dont_count() -> None:
    assert usable(_supply(0, 999, 1000), RULES).parts_mm == 1000
    assert usable(_supply(1, 5000), Rules(parts_count=False)).parts == ()


def test_a_fresh_skein_is_bought_unless_more_than_one_is_on_hand() -> None:
    """Many stitchers' rule (common practice, no source)."""
    rule = Rules(fresh_unless_more_than=1)
    assert take(5000, PUTUP, EMPTY, _supply(1, 6000), rule).lack == 1
    assert take(5000, PUTUP, EMPTY, _supply(2), rule).lack == 0


def test_skeins_that_are_kept_back_arent_counted_on() -> None:
    assert take(5000, PUTUP, EMPTY, _supply(2), Rules(keep_back=2)).lack == 1
    assert take(5000, PUTUP, EMPTY, _supply(3), Rules(keep_back=2)).lack == 0


@pytest.mark.parametrize(
    ("needed_mm", "skeins", "rule", "lack"),
    [
        (5000, 2, Rules(keep_back=2), 1),  # both stay in the drawer
        (5000, 3, Rules(keep_back=2), 0),
        (12000, 3, Rules(keep_back=2), 1),
        (12000, 3, Rules(keep_back=1), 0),
        (5000, 1, Rules(fresh_unless_more_than=1), 1),
        (5000, 2, Rules(fresh_unless_more_than=1), 0),
        (5000, 1, Rules(fresh_unless_more_than=2), 1),  # fewer than that many are no more than it
        (12000, 2, Rules(keep_back=1), 1),  # one of two: the other does for 8 m of the 12
    ],
)
def test_the_shopping_list_keeps_to_the_rules_as_the_kit_does(
    needed_mm: int, skeins: int, rule: Rules, lack: int
) -> None:
    """What is asked for without choosing skeins comes to the same: else too little is bought."""
    assert take(needed_mm, PUTUP, EMPTY, _supply(skeins), rule).lack == lack
    assert lacking(needed_mm, PUTUP, EMPTY, _supply(skeins), rule) == lack


@pytest.mark.parametrize(
    ("parts_mm", "rule", "lack"),
    [
        ((4000, 900), RULES, 1),  # of 12 m 4 are there in a part that counts: one skein lacks
        ((3000, 900), RULES, 2),  # 900 mm don't count
        ((4000, 900), Rules(parts_count=False), 2),
        ((3000, 1000), RULES, 1),  # a part just long enough does
    ],
)
def test_part_skeins_save_whole_ones_on_the_shopping_list_where_they_count(
    parts_mm: tuple[int, ...], rule: Rules, lack: int
) -> None:
    """Parts under a metre don't, unless the stitcher says so."""
    assert lacking(12000, PUTUP, EMPTY, _supply(0, *parts_mm), rule) == lack
    assert take(12000, PUTUP, EMPTY, _supply(0, *parts_mm), rule).lack == lack


def test_one_dye_lot_does_a_whole_need_or_all_of_it_is_bought() -> None:
    two_lots = Supply((Shelf(1, "A", 1), Shelf(2, "B", 1)))
    rule = Rules(same_dye_lot=True)
    assert take(12000, PUTUP, EMPTY, two_lots, RULES).lack == 0
    assert take(12000, PUTUP, EMPTY, two_lots, rule).lack == 2
    assert take(5000, PUTUP, EMPTY, two_lots, rule).lack == 0
    enough = Supply((Shelf(1, "A", 1), Shelf(2, "B", 2)))
    assert take(12000, PUTUP, EMPTY, enough, rule).skeins == ((2, 2),)


def test_skeins_of_unknown_lot_cant_be_trusted_to_match() -> None:
    rule = Rules(same_dye_lot=True)
    assert take(12000, PUTUP, EMPTY, _supply(5), rule).lack == 2
    assert take(5000, PUTUP, EMPTY, _supply(5), rule).skeins == ((1, 1),)


def test_what_the_project_holds_is_counted_first() -> None:
    taken = take(12000, PUTUP, _supply(1, 1000), _supply(1), RULES)
    assert (taken.skeins, taken.spare_mm) == (((1, 1),), 5000)
    assert take(12000, PUTUP, _supply(2), _supply(5), RULES).skeins == ()


@pytest.mark.parametrize(
    ("high_mm", "skeins", "putup_mm", "length"),
    [
        (6 * 5000, 1, PUTUP, 5000),
        (6 * 5000, 2, PUTUP, 8001),
        (6 * 5000, 2, 8229, 8230),  # nine yards
        (6 * 17000, 2, PUTUP, 16000),
        (0, 0, PUTUP, 0),
    ],
)
def test_a_needed_length_takes_just_the_skeins_that_were_estimated(
    high_mm: int, skeins: int, putup_mm: int, length: int
) -> None:
    assert needed_length(high_mm, 6, skeins, putup_mm) == length
    assert skeins_for(length, putup_mm) == skeins


def test_two_halves_of_a_skein_are_bought_as_one() -> None:
    needs = [(3000, EMPTY), (3000, EMPTY)]
    sharing = Rules(share_skeins=True)
    assert buy_for_all(needs, PUTUP, EMPTY, sharing).skeins == 1
    assert buy_for_all(needs, PUTUP, EMPTY, sharing).apart == 2
    assert buy_for_all(needs, PUTUP, EMPTY, RULES).skeins == 2  # unless she divides, they are whole


def test_a_rule_below_nothing_is_refused() -> None:
    with pytest.raises(StashError):
        Rules(keep_back=-1)


@given(lengths, supplies, rules)
def test_a_take_covers_the_need_and_is_there(length: int, free: Supply, rule: Rules) -> None:
    taken = take(length, PUTUP, EMPTY, free, rule)
    there = {s.stock: s.skeins for s in free.shelves}
    assert all(n <= there[stock] for stock, n in taken.skeins)
    parts = {p.stock: p.length_mm for p in free.parts}
    assert all(parts[stock] == mm for stock, mm in taken.parts)
    got = PUTUP * sum(n for _, n in taken.skeins) + sum(mm for _, mm in taken.parts)
    assert got + PUTUP * taken.lack >= length
    if not taken.lack:
        assert taken.spare_mm == got - length
        assert taken.spare_mm < PUTUP  # nothing is taken that a smaller take would do without


@given(lengths, supplies, supplies, rules)
def test_what_lacks_is_what_a_take_lacks(
    length: int, held: Supply, free: Supply, rule: Rules
) -> None:
    assert lacking(length, PUTUP, held, free, rule) == take(length, PUTUP, held, free, rule).lack


@given(lengths, supplies, rules)
def test_more_in_the_drawer_never_means_more_to_buy(length: int, free: Supply, rule: Rules) -> None:
    more = replace(free, shelves=(*free.shelves, Shelf(9, "A", 2)))
    assert (
        take(length, PUTUP, EMPTY, more, rule).lack <= take(length, PUTUP, EMPTY, free, rule).lack
    )


@given(lengths, lengths, supplies, rules)
def test_more_to_stitch_never_means_less_to_buy(
    first: int, second: int, free: Supply, rule: Rules
) -> None:
    small, large = sorted((first, second))
    assert take(small, PUTUP, EMPTY, free, rule).lack <= take(large, PUTUP, EMPTY, free, rule).lack


@settings(max_examples=60)
@given(st.lists(lengths, min_size=1, max_size=6), supplies, rules)
def test_buying_together_never_costs_more(needed: list[int], free: Supply, rule: Rules) -> None:
    found = buy_for_all([(mm, EMPTY) for mm in needed], PUTUP, free, rule)
    assert found.skeins <= found.apart
    assert found.apart <= sum(skeins_for(mm, PUTUP) for mm in needed)


@given(lengths, supplies)
def test_what_is_left_after_a_take_is_the_rest(length: int, free: Supply) -> None:
    taken = take(length, PUTUP, EMPTY, free, Rules(smallest_part_mm=0))
    rest = left_after(free, taken)
    gone = PUTUP * sum(n for _, n in taken.skeins) + sum(mm for _, mm in taken.parts)
    assert rest.length_mm(PUTUP) == free.length_mm(PUTUP) - gone


@pytest.mark.parametrize(
    ("needed_mm", "skeins"),
    [
        ((2500, 2500, 2500), 1),  # 7.5 m of 8
        ((3000, 3000, 3000), 2),
        ((7500, 400), 2),  # what is left, 500 mm, is too short to count
        ((7000, 900), 1),  # 1 m is just long enough
    ],
)
def test_what_a_project_leaves_of_a_skein_the_next_one_uses(
    needed_mm: tuple[int, ...], skeins: int
) -> None:
    """Where the stitcher divides skeins; each of her projects is kitted in turn."""
    needs = [(mm, EMPTY) for mm in needed_mm]
    assert buy_for_all(needs, PUTUP, EMPTY, Rules(share_skeins=True)).skeins == skeins
    assert buy_for_all(needs, PUTUP, EMPTY, Rules(share_skeins=True)).apart == len(needed_mm)


def test_a_lot_begun_is_gone_on_with_and_two_lots_begun_are_not() -> None:
    rule = Rules(same_dye_lot=True)
    free = Supply((Shelf(1, "A", 2), Shelf(2, "B", 2)))
    begun = take(12000, PUTUP, Supply((Shelf(9, "B", 1),)), free, rule)
    assert (begun.skeins, begun.lack) == (((2, 1),), 0)
    mixed = Supply((Shelf(8, "A", 1), Shelf(9, "B", 1)))
    assert take(20000, PUTUP, mixed, free, rule).lack == 1, "neither lot matches what is there"
    unknown = Supply((Shelf(3, "", 2),))
    assert take(12000, PUTUP, Supply((Shelf(9, "B", 1),)), unknown, rule).lack == 1


def test_skeins_come_from_the_smallest_lot_that_has_enough_else_from_the_fullest() -> None:
    """So that whole lots stay for large projects."""
    free = Supply((Shelf(1, "A", 5), Shelf(2, "B", 2), Shelf(3, "C", 1)))
    assert take(2 * PUTUP, PUTUP, EMPTY, free, RULES).skeins == ((2, 2),)
    assert take(PUTUP, PUTUP, EMPTY, free, RULES).skeins == ((3, 1),)
    assert take(7 * PUTUP, PUTUP, EMPTY, free, RULES).skeins == ((1, 5), (2, 2))


def test_of_rests_whose_lot_nobody_knows_the_longest_is_trusted() -> None:
    """One of them alone: two may not match."""
    rule = Rules(same_dye_lot=True)
    assert take(4000, PUTUP, EMPTY, _supply(0, 2000, 5000, 3000), rule).parts == ((11, 5000),)
    assert take(6000, PUTUP, EMPTY, _supply(0, 2000, 5000, 3000), rule).lack == 1


def test_where_nothing_is_taken_nothing_is_spare() -> None:
    """Held already, or no lot has enough of it."""
    assert take(5000, PUTUP, _supply(1), _supply(3), RULES).spare_mm == 0
    two_lots = Supply((Shelf(1, "A", 1), Shelf(2, "B", 1)))
    assert take(12000, PUTUP, EMPTY, two_lots, Rules(same_dye_lot=True)).spare_mm == 0
    assert take(12000, PUTUP, EMPTY, _supply(1), RULES).spare_mm == 0, "a skein lacks"


def test_where_no_project_needs_a_thread_none_is_bought() -> None:
    bought = buy_for_all([], PUTUP, _supply(1), Rules(share_skeins=True))
    assert (bought.skeins, bought.apart) == (0, 0)


def test_what_is_left_is_told_by_what_a_project_held_before() -> None:
    """12 m with a skein in the bag: half of the next one is left, which does for 3 m."""
    needs = [(12000, _supply(1)), (3000, EMPTY)]
    assert buy_for_all(needs, PUTUP, EMPTY, Rules(share_skeins=True)).skeins == 1


@pytest.mark.parametrize("parts_mm", [(2000,), (2000, 2500)])
def test_a_rest_isnt_taken_for_a_part_skein_of_the_drawer(parts_mm: tuple[int, ...]) -> None:
    """The first leaves 1 m, the second uses up 2 m of the drawer, and the metre is still there."""
    drawer = Supply(parts=tuple(PartSkein(1 + i, "", mm) for i, mm in enumerate(parts_mm)))
    needs = [(mm, EMPTY) for mm in (15000, 2000, 1000, 2000)[: 2 + len(parts_mm)]]
    assert buy_for_all(needs, PUTUP, drawer, Rules(share_skeins=True)).skeins == 2


def test_two_rests_are_two() -> None:
    """Rests of 3 m and of 1 m, the second left while a part skein is used up, do for two more."""
    drawer = Supply(parts=(PartSkein(1, "", 2000),))
    needs = [(mm, EMPTY) for mm in (5000, 9000, 1000, 3000)]
    assert buy_for_all(needs, PUTUP, drawer, Rules(share_skeins=True)).skeins == 2
