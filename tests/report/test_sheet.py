"""The kit sheet: complete, self-contained, safe."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from chartscan.report.cautions import DAYLIGHT, LOTS, MEASURE, kit_cautions
from chartscan.report.labels import kit_label, kit_label_page
from chartscan.report.sheet import kit_sheet, thread_colours
from chartscan.stash.kit import Kit

VOID = {"input", "meta", "img", "br", "rect", "line", "link"}


class _Page(HTMLParser):
    """Collects text and addresses, and fails where elements don't nest."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.texts: list[str] = []
        self.addresses: list[str] = []
        self.tags: list[str] = []
        self.feed(page)
        assert self.open == [], f"left open: {self.open}"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.addresses += [value or "" for name, value in attrs if name in ("src", "href")]
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in VOID:
            assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if not self.open or self.open[-1] != "style":
            self.texts.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.texts).split())


def test_the_sheet_says_everything_a_stitcher_needs(kit: Kit) -> None:
    text = _Page(kit_sheet(kit)).text
    for wanted in (
        "Moss & Rust",
        "6 × 4 stitches",
        "28 count over 2 threads, oatmeal linen",
        "14 stitches per inch",
        "1.1 × 0.7 cm",
        "16.1 × 15.8 cm",
        "6.4 × 6.3 in",
        "with 7.5 cm (3.0 in) on every side",
        "N1 Moss",
        "blended with N4, a strand of each",
        "as the key says",
        "Bag label",
        *(LOTS, DAYLIGHT, MEASURE),
        *kit_cautions(kit),
        *kit.warnings,
    ):
        assert wanted in text, wanted


def test_every_thread_has_a_row_with_tick_box_swatches_and_bar(kit: Kit) -> None:
    page = kit_sheet(kit)
    rows = re.findall(
        r"<tr>\s*<td><input type=\"checkbox\" class=\"tick\".*?</tr>", page, re.DOTALL
    )
    assert len(rows) == len(kit.threads)
    for row, line in zip(rows, kit.threads, strict=True):
        assert f'<span class="code">{line.thread.code}</span>' in row
        assert row.count('class="swatch') == 2 * len(line.uses)
        assert row.count("<svg") == 1


def test_the_sheet_needs_no_second_file(kit: Kit) -> None:
    page = kit_sheet(kit)
    parsed = _Page(page)
    assert parsed.addresses
    assert all(address.startswith("data:image/png;base64,") for address in parsed.addresses)
    assert not {"script", "link", "iframe"} & set(parsed.tags)
    assert "@import" not in page
    assert re.findall(r"url\((?!#)", page) == []


def test_names_from_files_are_shown_and_never_obeyed(kit: Kit) -> None:
    evil = '<script>alert("x")</script>'
    first = kit.threads[0]
    thread = replace(first.thread, name=evil, code='"><b>', line=evil)
    match = replace(first.match, chosen=replace(first.match.chosen, thread=thread))
    kit = replace(kit, title=evil, threads=(replace(first, match=match),), warnings=(evil, "a & b"))
    for page in (kit_sheet(kit), kit_label_page(kit)):
        parsed = _Page(page)
        assert "script" not in parsed.tags
        assert evil in parsed.text


def test_what_is_at_hand_has_a_column_only_where_a_stash_was_given(kit: Kit) -> None:
    assert ">Have</th>" in kit_sheet(kit)
    bare = replace(kit, threads=tuple(replace(line, owned=None) for line in kit.threads))
    assert ">Have</th>" not in kit_sheet(bare)


def test_the_label_says_what_is_missing_only_where_that_is_known(kit: Kit) -> None:
    label = kit_label(kit)
    states = dict(label.states)
    assert "2\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}N2" in states["To buy"]
    assert "N1" not in states["To buy"], "two skeins are at hand"
    assert "N1" in states["In stash"]
    bare = replace(kit, threads=tuple(replace(line, owned=None) for line in kit.threads))
    assert kit_label(bare).states == (("Missing", ""),)


def test_a_blend_is_pictured_in_the_middle_of_its_threads(kit: Kit) -> None:
    colours = thread_colours(kit)
    assert colours[1] == (155, 160, 90), "between (90, 120, 60) and (220, 200, 120)"
    assert colours[2] == colours[3] == (170, 70, 40)


@pytest.mark.parametrize("copies", [1, 25])
def test_copies_are_named_where_there_are_several(kit: Kit, copies: int) -> None:
    several = replace(kit, requirements=replace(kit.requirements, copies=copies))
    assert ("Copies" in _Page(kit_sheet(several)).text) == (copies > 1)


def test_stitches_are_counted_by_inch_and_by_centimetre(kit: Kit) -> None:
    """28 over two: 14 per inch of 2.54 cm, 5.5 per cm."""
    assert "14 stitches per inch, 5.5 per cm" in kit_sheet(kit)


def test_the_label_of_a_kit_has_the_facts_and_the_threads_of_its_bag(kit: Kit) -> None:
    label = kit_label(kit)
    assert label.facts == (
        ("Chart", "moss & rust.png"),
        ("Stitches", "6 × 4"),
        ("Fabric", "28 count over 2 threads, oatmeal linen"),
        ("Finished", "1.1 × 0.7 cm (0.4 × 0.3 in)"),
        ("Cut", "16.1 × 15.8 cm (6.4 × 6.3 in)"),
    )
    told = [(thread.code, thread.name, thread.hex, thread.strands) for thread in label.threads]
    assert told == [
        ("N1", "Moss", "#5a783c", "1"),
        ("N4", "Straw", "#dcc878", "1 and 2"),
        ("N2", "Rust", "#aa4628", "2"),
        ("N3", "Ink", "#141428", "1"),
    ]


def test_the_label_of_a_kit_says_what_is_there_in_part(kit: Kit) -> None:
    """Who has one skein of two would else leave the shop without the second."""
    some = {"N2": (1.0, 1), "N1": (0.0, 1), "N3": (0.0, 1), "N4": (0.0, 1)}
    threads = tuple(
        replace(line, owned=some[line.thread.code][0], to_buy=some[line.thread.code][1])
        for line in kit.threads
    )
    nbsp = " "
    assert dict(kit_label(replace(kit, threads=threads)).states) == {
        "In stash": "N2 (in part)",
        "To buy": ", ".join(f"1{nbsp}×{nbsp}{code}" for code in ("N1", "N4", "N2", "N3")),
    }
    none = tuple(replace(line, owned=0.0, to_buy=0) for line in kit.threads)
    assert kit_label(replace(kit, threads=none)).states == (
        ("In stash", "none of the threads"),
        ("To buy", "no thread"),
    )


def test_the_sheet_says_what_a_class_is_called(kit: Kit) -> None:
    classes = list(kit.chart.classes)
    classes[2] = replace(classes[2], name="roof")
    named = replace(kit, chart=replace(kit.chart, classes=tuple(classes)))
    assert "2: roof; " in _Page(kit_sheet(named)).text


def _picked(kit: Kit) -> Kit:
    """The kit with every thread picked by the stitcher."""
    threads = []
    for line in kit.threads:
        uses = [
            replace(use, match=replace(use.match, keyed=True, picked=True)) for use in line.uses
        ]
        threads.append(replace(line, uses=tuple(uses)))
    return replace(kit, threads=tuple(threads))


def test_a_thread_that_was_picked_is_not_put_down_to_the_key(kit: Kit) -> None:
    text = _Page(kit_sheet(_picked(kit))).text
    assert "as the key says" not in text
    assert "as chosen, close (ΔE 0.9)" in text


@pytest.mark.parametrize(
    ("untold", "caption"),
    [
        (0, "As it will look, in the threads chosen"),
        (1, "As it will look, grey where no thread is told yet"),
        (9, "All grey: no thread is told yet"),
    ],
)
def test_the_caption_says_what_is_grey_because_no_thread_is_told(
    kit: Kit, untold: int, caption: str
) -> None:
    threads = []
    for at, line in enumerate(kit.threads):
        chosen = replace(line.thread, told=at >= untold)
        match = replace(line.match, chosen=replace(line.match.chosen, thread=chosen))
        threads.append(replace(line, match=match))
    assert caption in _Page(kit_sheet(replace(kit, threads=tuple(threads)))).text
