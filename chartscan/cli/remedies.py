"""What a person at the command line can do about a refusal: the options that say it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from chartscan.remedies import Remedy

WORDS: Mapping[Remedy, str] = {
    Remedy.CROP: "crop the page to the chart",
    Remedy.SCAN_FLAT: "scan it flat",
    Remedy.SCAN_SMALLER: "scan it at a lower resolution",
    Remedy.RAISE_LIMIT: "raise --max-pixels if you trust the file",
    Remedy.TELL_SIZE: "tell its --size",
    Remedy.TELL_CORNERS: "give its corners with --corners",
    Remedy.TELL_GROUND: "tell the colour of bare fabric with --empty",
    Remedy.DROP_SIZE: "look at --review without --size",
    Remedy.PICK_PAGES: "choose with --page or --pages",
    Remedy.NAME_ALL_PAGES: "name every page, in reading order",
    Remedy.ORDER_PAGES: "give the pages in reading order",
    Remedy.TELL_LAYOUT: "give --layout RxC where they stand in more than one row",
    Remedy.TELL_REPEATS: "tell with --repeats how many columns or rows neighbours have in common",
    Remedy.SAVE_AS_PICTURE: "export it as JPEG or PNG",
    Remedy.ADD_HEIC: "install the extra that reads HEIC: pip install 'chartscan[heic]'",
}


def worded(reason: str, remedies: Sequence[Remedy]) -> str:
    """A refusal as one line: the reason, then what can be done about it."""
    if not remedies:
        return reason
    *first, last = (WORDS[remedy] for remedy in remedies)
    either = f"{', '.join(first)} or " if first else ""
    return f"{reason}; {either}{last}"
