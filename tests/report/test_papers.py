"""Bag labels, fabric labels, stash list and shopping sheet of the stash."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest

from chartscan.palette.thread import UNTOLD
from chartscan.report.cutplan import cut_plan_lines, cut_plan_page
from chartscan.report.labels import (
    bag_label,
    bag_label_page,
    fabric_label_page,
    offcut_words,
    untold_words,
)
from chartscan.report.lists import shopping_page, stash_list_page
from chartscan.stash.offcuts import Cutting, OffcutSettings, lay
from chartscan.stash.paper import (
    BagLabel,
    BagNotion,
    BagThread,
    FabricLabel,
    ShoppingFabric,
    ShoppingList,
    ShoppingNotion,
    ShoppingOffcut,
    ShoppingThread,
    StashList,
    StashNotion,
    StashThread,
)

PIECE = FabricLabel(
    "F7", 28, None, "oatmeal", (232, 226, 208), "linen", (500, 400), "Heron", "washed"
)
BAG = BagLabel(
    project="Heron <3",
    state="planned",
    place="box 2",
    charts=("Heron, Reeds and Water no. 4, page 12",),
    fabric="28 count oatmeal over 2",
    cut_mm=((240, 300, 2),),
    pieces=(PIECE,),
    threads=(
        BagThread("Mill", "M1", "Moss", (90, 120, 60), (1, 2), 2, (3.5,), 0),
        BagThread("Mill", "M9", "", None, (2,), 0, (), 1, called="M8"),
    ),
    notions=(BagNotion("glass beads", "g", 10, 4), BagNotion("needle", "", 1, 1)),
    set_apart=("fabric F7", "thread M1", "glass beads 4 g"),
    in_stash=("glass beads 2 g",),
    to_buy=("1 × M9", "glass beads 4 g"),
    copies=2,
    deadline="2027-02-01",
)


def test_a_bag_label_says_what_is_inside_and_what_is_missing() -> None:
    page = bag_label_page([BAG])
    for wanted in (
        "Heron &lt;3",
        "box 2",
        "24.0 × 30.0 cm (9.5 × 11.9 in), 2 pieces",
        "F7, 50.0 × 40.0 cm",
        "<b>M1</b> Moss ×1 and 2",
        "(for M8)",
        "glass beads 10 g; needle 1",
        "<dt>Set apart</dt><dd>fabric F7; thread M1; glass beads 4 g</dd>",
        "<dt>In stash</dt><dd>glass beads 2 g</dd>",
        "<dt>To buy</dt><dd>1 × M9; glass beads 4 g</dd>",
        "2027-02-01",
    ):
        assert wanted in page, wanted


def test_a_complete_bag_says_so() -> None:
    page = bag_label_page([replace(BAG, in_stash=(), to_buy=())])
    assert "<dt>Set apart</dt><dd>everything</dd>" in page
    assert "To buy" not in page


def test_a_bag_that_nothing_is_in_yet_says_so() -> None:
    page = bag_label_page([replace(BAG, set_apart=())])
    assert "<dt>Set apart</dt><dd>nothing yet</dd>" in page


def test_work_that_is_over_lacks_nothing_and_holds_nothing() -> None:
    page = bag_label_page([replace(BAG, state="finished", set_apart=(), in_stash=(), to_buy=())])
    assert not [word for word in ("Set apart", "In stash", "To buy") if word in page]


def test_facts_that_are_not_known_leave_no_empty_line() -> None:
    names = [name for name, _ in bag_label(replace(BAG, place="", deadline="")).facts]
    assert "Place" not in names
    assert "Deadline" not in names


@pytest.mark.parametrize(("copies", "told"), [(1, None), (2, "2"), (25, "25")])
def test_a_bag_says_for_how_many_copies_it_is(copies: int, told: str | None) -> None:
    """Only where there are several."""
    assert dict(bag_label(replace(BAG, copies=copies)).facts).get("Copies") == told


def test_several_labels_share_a_page() -> None:
    assert bag_label_page([BAG] * 5).count('<section class="label">') == 5
    assert fabric_label_page([PIECE] * 7).count('<section class="label">') == 7


def test_a_fabric_label_names_count_size_and_owner() -> None:
    page = fabric_label_page([PIECE])
    for wanted in ("F7", "28 count", "oatmeal", "linen", "19.7 × 15.7 in", "Heron", "#e8e2d0"):
        assert wanted in page, wanted


def test_the_stash_list_keeps_the_order_it_is_given() -> None:
    stash = StashList(
        threads=(
            StashThread("Mill", "M2", "Rust", (170, 70, 40), 3, (4.0, 2.5), 1, 1.5, ("L4",)),
            StashThread("Mill", "M1", "Moss", (90, 120, 60), 0, (), 0, 0.0),
        ),
        fabrics=(PIECE,),
        notions=(StashNotion("glass beads", "g", 12, 10),),
    )
    page = stash_list_page(stash)
    assert page.index(">M2<") < page.index(">M1<")
    for wanted in ("4 m + 2.5 m", "1 + 1.5 m", "L4", "12 g", "10 g", "50.0 × 40.0 cm"):
        assert wanted in page, wanted


def test_a_shopping_sheet_adds_up_and_says_what_is_saved() -> None:
    shopping = ShoppingList(
        projects=("Heron", "Band"),
        threads=(
            ShoppingThread("Mill", "M1", "Moss", None, 3, 4, 1.25, ("Heron", "Band")),
            ShoppingThread("Mill", "M9", "", None, 1, 1, None, ("Heron",), discontinued=True),
        ),
        fabrics=(ShoppingFabric(28, "", ((240, 300, 2),), (480, 300), 9.5, ("Heron",)),),
        notions=(ShoppingNotion("glass beads", "g", 6, 0.5, ("Heron",)),),
        saved=1,
        total=16.25,
        unpriced=1,
    )
    page = shopping_page(shopping)
    for wanted in (
        "For Heron, Band",
        "3.75",
        "1 fewer than bought apart",
        "no longer made: look for a stand-in",
        "saves 1 skein.",
        "2 of 24.0 × 30.0 cm (9.5 × 11.9 in)",
        "any colour",
        "6 g",
        "Total 16.25",
        "1 without a price left out",
    ):
        assert wanted in page, wanted


def test_what_a_piece_leaves_is_told_in_the_same_words_on_paper_and_in_the_terminal() -> None:
    from chartscan.cli.shop import _footer

    left = ShoppingOffcut("Heron", "F3", "Band")
    shopping = ShoppingList(("Heron",), (), (), (), 0, None, 0, offcuts=(left,))
    words = offcut_words(left)
    assert words == "Fabric for Heron: from what is left of F3 once Band is cut."
    assert _footer(shopping) == [words]
    assert words in shopping_page(shopping)


def test_a_thread_that_nobody_named_is_told_with_how_to_name_it() -> None:
    from chartscan.cli.shop import _footer

    named = ShoppingThread("Mill", "M1", "Moss", None, 3, 4, 1.25, ("Heron",))
    asked = ShoppingThread("", "?1", UNTOLD, None, 1, 1, None, ("Heron",))
    shopping = ShoppingList(("Heron",), (named, asked), (), (), 0, None, 0)
    first, *_ = _footer(shopping)
    said = untold_words(shopping.threads)
    assert said == "?1: no thread told yet; the chart's key, filled in, tells which."
    assert said in unescape(shopping_page(shopping))
    assert first.startswith(f"{said} `chartscan key` makes a key")
    assert untold_words((named,)) == ""


def test_empty_papers_say_so() -> None:
    assert "Nothing is in the stash yet." in stash_list_page(StashList((), (), ()))
    assert "Nothing has to be bought." in shopping_page(ShoppingList((), (), (), (), 0, None, 0))


def test_what_spoils_work_or_hurts_stands_where_the_hand_is() -> None:
    label = bag_label_page([BAG])
    assert "Count needles and pins in and out" in label
    assert "away from children" in label
    lots = replace(BAG, threads=(replace(BAG.threads[0], dye_lots=("12", "14")),))
    assert "lots 12 and 14: compare in daylight" in bag_label_page([lots])


def test_a_box_on_the_shopping_list_can_be_tapped_and_one_lot_is_asked_for() -> None:
    thread = ShoppingThread("Mill", "M1", "Moss", None, 3, 4, 1.25, ("Heron",))
    page = shopping_page(ShoppingList(("Heron",), (thread,), (), (), 0, None, 1, dividing_saves=2))
    assert page.count('<input type="checkbox" class="tick"') == 1
    assert "from one dye lot" in page
    assert "would save 2" in page


def test_a_piece_to_cut_carries_its_size_and_the_plan_says_wash_and_measure() -> None:
    plan = lay("F1", (500, 700), (200, 300), 2, OffcutSettings())
    page = cut_plan_page("Heron", Cutting((plan,), ()))
    assert page.count(">20 × 30 cm</text>") + page.count(">30 × 20 cm</text>") == 2
    for words in ("wash and press", "measure it again"):
        assert words in page


def test_numbers_of_a_cutting_plan_stand_in_the_middle_of_their_pieces() -> None:
    """And each rectangle has one, so that nobody cuts the wrong one."""
    plan = lay("F1", (500, 700), (200, 300), 2, OffcutSettings())
    page = cut_plan_page("Heron", Cutting((plan,), ()))
    for number, cut in enumerate(plan.cuts, 1):
        middle, centre = cut.x + cut.width / 2, cut.y + cut.height / 2
        assert re.search(rf'<text x="{middle}" y="{centre}"[^>]*>{number}</text>', page)
    for rest in plan.kept:
        middle, centre = rest.x + rest.width / 2, rest.y + rest.height / 2
        size = f"{rest.width / 10:g} × {rest.height / 10:g} cm"
        assert re.search(rf'<text x="{middle}" y="{centre}"[^>]*>{size}</text>', page)


def test_a_size_is_written_upright_only_in_a_narrow_rest() -> None:
    """One of 10 × 70 cm would not hold its words across; one of 50 × 40 cm does."""
    narrow = lay("F1", (500, 700), (400, 700), 1, OffcutSettings())
    wide = lay("F2", (500, 700), (500, 300), 1, OffcutSettings())
    turned = [
        cut_plan_page("Heron", Cutting((plan,), ())).count("rotate(-90") for plan in (narrow, wide)
    ]
    assert turned == [1, 0]


def _letters(page: str) -> list[tuple[str, float]]:
    """What is written on a plan, and in what height (mm of cloth)."""
    found = re.findall(r'<text [^>]*font-size="([\d.]+)"[^>]*>([^<]+)</text>', page)
    return [(words, float(height)) for height, words in found]


@pytest.mark.parametrize(("piece", "cut"), [((500, 700), (60, 90)), ((200, 150), (150, 120))])
def test_what_is_written_on_a_plan_stays_within_its_piece(
    piece: tuple[int, int], cut: tuple[int, int]
) -> None:
    """A number or size that runs over the next piece is how the wrong one gets cut.

    A number takes a quarter of its piece at most, and a sixteenth of the cloth; figures of common
    faces are seven tenths as wide as high at most. No source.
    """
    plan = lay("F1", piece, cut, 1, OffcutSettings())
    written = dict(_letters(cut_plan_page("Heron", Cutting((plan,), ()))))
    (rect,) = plan.cuts
    assert written["1"] == pytest.approx(min(min(cut) / 4, max(piece) / 16))
    size = f"{rect.width / 10:g} × {rect.height / 10:g} cm"
    assert 0.7 * len(size) * written[size] == pytest.approx(rect.width)
    rests = [written[f"{r.width / 10:g} × {r.height / 10:g} cm"] for r in plan.kept]
    assert rests == [pytest.approx(max(piece) / 32)] * len(plan.kept)


def test_the_shopping_sheet_tells_every_price_and_its_sum() -> None:
    """3 skeins at 1.25, 6 g at 0.50 and a piece at 9.50: she takes that much money along."""
    shopping = ShoppingList(
        projects=("Heron",),
        threads=(ShoppingThread("Mill", "M1", "Moss", None, 3, 3, 1.25, ("Heron", "Band")),),
        fabrics=(ShoppingFabric(28, "sand", ((240, 300, 1),), (480, 300), 9.5, ("Band",)),),
        notions=(ShoppingNotion("glass beads", "g", 6, 0.5, ("Heron",)),),
        saved=0,
        total=1016.25,
        unpriced=0,
        dividing_saves=1,
    )
    page = shopping_page(shopping)
    for wanted in ("1.25", "3.75", "0.50", "3.00", "9.50", "1,016.25", "Heron, Band", "1 skein"):
        assert wanted in page, wanted
    for wanted in ("Moss, Mill", "28 count", "sand", "1 of 24.0 × 30.0 cm", "48.0 × 30.0 cm"):
        assert wanted in page, wanted
    assert "fewer than bought apart" not in page
    assert "no longer made" not in page
    unpriced = replace(shopping.threads[0], price=None)
    assert "3.75" not in shopping_page(replace(shopping, threads=(unpriced,)))


def test_the_cutting_plan_says_in_words_what_is_cut_kept_wasted_and_bought() -> None:
    plan = lay("F1", (500, 700), (200, 300), 2, OffcutSettings())
    head, *rest = cut_plan_lines(plan)
    assert head.startswith("F1, 50.0 × 70.0 cm (19.7 × 27.6 in): 2 pieces of ")
    back = [line for line in rest if line.startswith("back in the drawer: ")]
    assert len(back) == len(plan.kept)
    kept = sum(r.width * r.height for r in plan.kept)
    assert plan.waste_mm2 == 500 * 700 - 2 * 200 * 300 - kept
    assert [line for line in rest if line not in back] == (
        [f"waste: {plan.waste_mm2 / 100:.0f} cm²"] if plan.waste_mm2 else []
    )


def test_a_piece_without_waste_tells_of_none_and_one_with_a_strip_of_it() -> None:
    """A strip of 1 × 30 cm is 30 cm² that nobody can use."""
    usual = OffcutSettings()
    strip, whole = (lay("F1", (width, 300), (200, 300), 1, usual) for width in (210, 200))
    size = "20.0 × 30.0 cm (7.9 × 11.8 in)"
    assert cut_plan_lines(whole) == [f"F1, {size}: 1 piece of 20.0 × 30.0 cm (7.9 × 11.9 in)"]
    assert cut_plan_lines(strip)[1:] == ["waste: 30 cm²"]


def test_the_lines_of_a_plan_are_thin_whatever_the_size_of_the_piece() -> None:
    """A three hundredth of its longer side, or one would not see where to cut."""
    for size in ((500, 700), (100, 60)):
        plan = lay("F1", size, (50, 40), 1, OffcutSettings())
        page = cut_plan_page("Heron", Cutting((plan,), ()))
        (width,) = re.findall(r'stroke="#000" stroke-width="([\d.]+)"', page)
        assert float(width) == pytest.approx(max(size) / 300)
