"""What the commands that match threads share: their options, and candidates as JSON."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

import click

from chartscan.cli.at_hand import Counting, at_hand_options, need_something
from chartscan.cli.options import FILE
from chartscan.cli.parsing import ONE_OR_MORE, Number, parsed

if TYPE_CHECKING:
    from chartscan.chart import Chart
    from chartscan.palette import Candidate, Match, Matches, Owned, Palette, Thread

Command = TypeVar("Command", bound=Callable[..., Any])


@dataclass(frozen=True)
class MatchingChoices:
    """What the stitcher chose on the command line about matching; field names are option names."""

    key_file: Path | None = None
    own_within: float | None = None
    distinct: bool = False
    keep_shades: bool = False
    at_most: int | None = None
    as_printed: bool = False
    discontinued: bool = False
    illuminant: str = "D65"


def _parse_illuminant(text: str) -> str:
    from chartscan.colour import check_illuminant

    return check_illuminant(text)


class Layout(NamedTuple):
    """What a table of threads shows, as far as the terminal has room for it.

    Attributes:
        pair: the thread's colour beside the one that is wanted.
        ways: how many words on how they differ; None for all.
        next: the next best thread and the margin.
        words: whether there is a column of words at all.
    """

    pair: bool
    ways: int | None
    next: bool
    words: bool = True


LAYOUTS = (
    Layout(pair=True, ways=None, next=True),
    Layout(pair=True, ways=1, next=True),
    Layout(pair=True, ways=0, next=True),
    Layout(pair=False, ways=1, next=True),
    Layout(pair=True, ways=1, next=False),
    Layout(pair=False, ways=0, next=True),
    Layout(pair=False, ways=1, next=False),
    Layout(pair=False, ways=0, next=False),
    Layout(pair=False, ways=0, next=False, words=False),
)
"""From the fullest to the barest; the first that a terminal has room for is shown."""

illuminant_option = click.option(
    "--illuminant",
    callback=parsed(_parse_illuminant),
    default="D65",
    metavar="NAME",
    help="Illuminant of Lab values in the palette, D50 for most instruments.",
)
discontinued_option = click.option(
    "--all", "discontinued", is_flag=True, help="Take discontinued threads too."
)
own_within_option = click.option(
    "--own-within",
    type=Number(0),
    metavar="ΔE",
    help="A thread you have wins if it is this close (2.0, say).",
)
distinct_option = click.option("--distinct", is_flag=True, help="A thread of its own for each.")

_OPTIONS = (
    click.option(
        "--key",
        "key_file",
        type=FILE,
        metavar="KEY.csv",
        help="Threads the chart names (class,code); a class by number, symbol or #rrggbb.",
    ),
    own_within_option,
    distinct_option,
    click.option(
        "--keep-shades",
        is_flag=True,
        help="Keep shades of one hue in order, clearly stepped from dark to light.",
    ),
    click.option(
        "--at-most",
        type=ONE_OR_MORE,
        metavar="N",
        help="Use no more than N threads, merging what shows least.",
    ),
    click.option(
        "--as-printed",
        is_flag=True,
        help="Don't correct the chart's colours by what the key teaches about them.",
    ),
    discontinued_option,
    illuminant_option,
)


def matching_options(command: Command) -> Command:
    """Give ``command`` the options of matching, as ``choices``, and of what is at hand."""

    @wraps(command)
    def with_choices(counting: Counting, **values: object) -> object:
        told: dict[str, Any] = {f.name: values.pop(f.name) for f in fields(MatchingChoices)}
        choices = MatchingChoices(**told)
        if choices.own_within is not None:
            need_something(counting, "--own-within")
        if choices.distinct and choices.at_most is not None:
            raise click.UsageError("--distinct and --at-most can't both be given")
        return command(choices=choices, counting=counting, **values)

    decorated: Any = at_hand_options(with_choices)
    for option in reversed(_OPTIONS):
        decorated = option(decorated)
    result: Command = decorated
    return result


def match_chart(
    chart: Chart,
    palette: Palette,
    choices: MatchingChoices,
    owned: Owned | None = None,
    cloth: tuple[int, int, int] | None = None,
) -> Matches:
    """Match ``chart`` as ``choices`` say; ``owned`` is what is at hand, if that is known."""
    from chartscan.tasks.threads import choose_threads, how_to_choose

    settings = how_to_choose(
        distinct=choices.distinct,
        keep_shades=choices.keep_shades,
        at_most=choices.at_most,
        own_within=choices.own_within,
        as_printed=choices.as_printed,
        discontinued=choices.discontinued,
    )
    return choose_threads(chart, palette, settings, choices.key_file, owned, cloth)


def thread_json(thread: Thread) -> dict[str, Any]:
    """A thread for ``--json``."""
    return {
        "code": thread.code,
        "name": thread.name,
        "line": thread.line,
        "rgb": list(thread.rgb),
        "lab": [round(value, 3) for value in thread.lab],
        "status": thread.status,
        **({"colours": [list(rgb) for rgb in thread.colours]} if thread.colours else {}),
    }


def candidate_json(candidate: Candidate) -> dict[str, Any]:
    """A candidate for ``--json``: its thread, and how it differs from what is wanted."""
    from chartscan.colour import grey_scale

    return {
        **thread_json(candidate.thread),
        "delta_e": round(candidate.delta_e, 4),
        "grade": candidate.grade,
        "grey_scale": grey_scale(candidate.delta_e),
        "direction": candidate.direction,
        "owned": None if candidate.owned is None else round(candidate.owned, 3),
    }


def match_json(match: Match, kind: str) -> dict[str, Any]:
    """A match for ``--json``; ΔE is null where there is no colour, the code where none is told."""
    chosen = candidate_json(match.chosen)
    if match.rgb is None:
        chosen |= {"delta_e": None, "grey_scale": None}
    if not match.chosen.thread.told:
        chosen |= {"code": None, "name": None, "rgb": None}
    thread_rgb = chosen.pop("rgb")
    return {
        "class": match.class_index,
        "kind": kind,
        "rgb": None if match.rgb is None else list(match.rgb),
        "corrected": None if match.corrected is None else list(match.corrected),
        **chosen,
        "thread_rgb": thread_rgb,
        "margin": None if match.margin is None else round(match.margin, 4),
        "keyed": match.keyed,
        "own": None if match.own is None else candidate_json(match.own),
        "alternatives": [candidate_json(other) for other in match.alternatives],
    }


def next_best(alternatives: Sequence[Candidate], margin: float | None) -> str:
    """The next best thread, its ΔE and the margin, as a cell of a table: ``HAW5 6.4 (4.0)``."""
    if not alternatives:
        return ""
    shown = "" if margin is None else f" ({margin:.1f})"
    return f"{alternatives[0].thread.code} {alternatives[0].delta_e:.1f}{shown}"


def own_best(own: Candidate | None) -> str:
    """The nearest thread at hand, its price in ΔE and the main way: ``HAW5 2.4 lighter``."""
    if own is None:
        return ""
    main_way, *_ = own.direction.split(", ")
    return f"{own.thread.code} {own.delta_e:.1f} {main_way}".rstrip()


def thread_words(candidate: Candidate, ways: int | None = None) -> str:
    """How a thread differs and what else is to be known of it, as a cell of a table.

    Args:
        candidate: the thread.
        ways: how many of the ways in which it differs are said, the main one first; None for all.
    """
    thread = candidate.thread
    gone = "discontinued" if thread.status == "discontinued" else ""
    mean = f"mean of {len(thread.colours)} colours" if thread.colours else ""
    which = candidate.direction.split(", ")[:ways]
    return ", ".join(filter(None, (candidate.grade, *which, gone, mean)))
