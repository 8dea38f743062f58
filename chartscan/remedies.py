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
