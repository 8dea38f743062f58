"""What a person at the command line can do about a refusal: the commands and options for it."""

from __future__ import annotations

import shlex
from collections.abc import Mapping

from chartscan.errors import ChartscanError
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
    Remedy.READ_PICTURE: "`chartscan read` makes one from a picture",
    Remedy.SEE_REVIEW: "look at `chartscan read --review`",
    Remedy.SEE_STASH: "`chartscan stash list` shows all",
    Remedy.SEE_FABRIC: "`chartscan stash list fabric` shows all",
    Remedy.SEE_NOTIONS: "`chartscan stash list notions` shows all",
    Remedy.SEE_CHARTS: "`chartscan stash list charts` shows all",
    Remedy.SEE_WISHES: "`chartscan stash wish list` shows them",
    Remedy.SEE_HISTORY: "`chartscan stash history` lists them",
    Remedy.SEE_PROJECTS: "`chartscan project list` shows all",
    Remedy.SEE_PLAN: "`chartscan project plan {name}` lists them",
    Remedy.SEE_SHOPPING: "see `chartscan shop list {name}`",
    Remedy.SAY_LINE: "say which with --line",
    Remedy.SAY_UNIT: "say which with --unit",
    Remedy.SAY_PART: "say which with --part",
    Remedy.TELL_PROJECT: (
        "`chartscan project change {name}` tells it (--chart, --palette, --fabric)"
    ),
    Remedy.TYPE_EXTRAS: "type extras by hand (`chartscan project extra`)",
    Remedy.RELEASE: "release it (`chartscan project release {name}`)",
    Remedy.UNDO_PROJECT: "take its last act back (`chartscan project undo {name}`)",
    Remedy.KIT_FIRST: "kit it first",
    Remedy.KIT_PARTLY: "set apart what is there (`chartscan project kit {name} --partly`)",
    Remedy.START_FIRST: "start it first",
    Remedy.START_SHORT: "start it --short to begin all the same and be reminded",
    Remedy.FINISH_FIRST: "finish it or give it up",
    Remedy.BEGIN_STASH: "`chartscan stash add` begins one",
    Remedy.OTHER_STASH: "choose another with --stash",
    Remedy.NEW_STASH: "begin a new one with --stash FILE",
    Remedy.JOIN_STASH: "bring another stash in with `chartscan stash join`",
    Remedy.PUT_BACK: "put the file back beside it",
    Remedy.RESTORE: "put a backup in its place with `chartscan stash restore BACKUP`",
    Remedy.RENAME_ONE: "rename one of the two",
    Remedy.SAY_ONE: "say --one {name} where they are the same",
    Remedy.MERGE_THREADS: (
        "bring the two together with `chartscan stash merge thread {one} {other}`"
    ),
    Remedy.MERGE_MISTYPED: (
        "bring it together with the right one with `chartscan stash merge thread`"
    ),
    Remedy.MERGE_NOTIONS: "bring the two together with `chartscan stash merge notion`",
    Remedy.LOSE: "say that it is gone (`chartscan stash lose`)",
    Remedy.ADD_AGAIN: "add them once more with --again",
    Remedy.RECOUNT: "say with --recount that the table is what lies in the drawer now",
    Remedy.ADD_OPENED: "book an opened one with `chartscan stash add thread`",
    Remedy.ADD_IT: "book it with `chartscan stash add`",
    Remedy.LARGER_RANGE: "use a larger range",
    Remedy.SHARE_THREADS: "leave --distinct out",
    Remedy.ALLOW_MORE: "allow more with --at-most",
    Remedy.SHOW_DISCONTINUED: "show discontinued ones with --all",
    Remedy.NARROWER: "give less with --within",
    Remedy.TELL_CARD: "tell its outer corners with --grid and --corners",
    Remedy.READ_ARCHIVE: "read it with `chartscan archive read`",
    Remedy.WAIT_FOR_ARCHIVE: (
        "wait for that one, or give another catalogue (its workers can be more: --workers)"
    ),
    Remedy.SEE_CATALOGUE: "`chartscan archive list` shows them",
    Remedy.NAME_CHARTS: (
        "name each chart that makes one, once, in reading order, and --layout RxC where they"
        " stand in more than one row"
    ),
    Remedy.TAKE_APART: "take it apart first with --apart",
    Remedy.SEE_AS_WORKERS: "give the folder as workers see it with --seen-as",
    Remedy.SEND_BYTES: "send the bytes with --send",
}


def worded(error: ChartscanError) -> str:
    """A refusal as one line: the reason, then what can be done about it."""
    if not error.remedies:
        return str(error)
    named = {place: shlex.quote(text) for place, text in error.named.items()}
    *first, last = (WORDS[remedy].format(**named) for remedy in error.remedies)
    either = f"{', '.join(first)} or " if first else ""
    return f"{error}; {either}{last}"
