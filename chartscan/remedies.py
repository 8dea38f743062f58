"""What a person can do about a refusal, as values: who refuses names them, each face words them.

The command line speaks of options and commands (``chartscan/cli/remedies.py``), the worktable of
what stands on its page (the section ``remedy`` of its words).
"""

from __future__ import annotations

from enum import StrEnum


class Remedy(StrEnum):
    """One thing that a person can do."""

    CROP = "crop"
    SCAN_FLAT = "scan_flat"
    SCAN_SMALLER = "scan_smaller"
    RAISE_LIMIT = "raise_limit"
    TELL_SIZE = "tell_size"
    TELL_CORNERS = "tell_corners"
    TELL_GROUND = "tell_ground"
    DROP_SIZE = "drop_size"
    PICK_PAGES = "pick_pages"
    NAME_ALL_PAGES = "name_all_pages"
    ORDER_PAGES = "order_pages"
    TELL_LAYOUT = "tell_layout"
    TELL_REPEATS = "tell_repeats"
    SAVE_AS_PICTURE = "save_as_picture"
    ADD_HEIC = "add_heic"

    READ_PICTURE = "read_picture"
    SEE_REVIEW = "see_review"

    SEE_STASH = "see_stash"
    SEE_FABRIC = "see_fabric"
    SEE_NOTIONS = "see_notions"
    SEE_CHARTS = "see_charts"
    SEE_WISHES = "see_wishes"
    SEE_HISTORY = "see_history"
    SEE_PROJECTS = "see_projects"
    SEE_PLAN = "see_plan"
    SEE_SHOPPING = "see_shopping"
    SAY_LINE = "say_line"
    SAY_UNIT = "say_unit"
    SAY_PART = "say_part"

    TELL_PROJECT = "tell_project"
    TYPE_EXTRAS = "type_extras"
    RELEASE = "release"
    UNDO_PROJECT = "undo_project"
    KIT_FIRST = "kit_first"
    KIT_PARTLY = "kit_partly"
    START_FIRST = "start_first"
    START_SHORT = "start_short"
    FINISH_FIRST = "finish_first"

    BEGIN_STASH = "begin_stash"
    OTHER_STASH = "other_stash"
    NEW_STASH = "new_stash"
    JOIN_STASH = "join_stash"
    PUT_BACK = "put_back"
    RESTORE = "restore"
    RENAME_ONE = "rename_one"
    SAY_ONE = "say_one"

    MERGE_THREADS = "merge_threads"
    MERGE_MISTYPED = "merge_mistyped"
    MERGE_NOTIONS = "merge_notions"
    LOSE = "lose"
    ADD_AGAIN = "add_again"
    RECOUNT = "recount"
    ADD_OPENED = "add_opened"
    ADD_IT = "add_it"

    LARGER_RANGE = "larger_range"
    SHARE_THREADS = "share_threads"
    ALLOW_MORE = "allow_more"
    SHOW_DISCONTINUED = "show_discontinued"
    NARROWER = "narrower"
    TELL_CARD = "tell_card"

    READ_ARCHIVE = "read_archive"
    WAIT_FOR_ARCHIVE = "wait_for_archive"
    SEE_CATALOGUE = "see_catalogue"
    NAME_CHARTS = "name_charts"
    TAKE_APART = "take_apart"
    SEE_AS_WORKERS = "see_as_workers"
    SEND_BYTES = "send_bytes"
