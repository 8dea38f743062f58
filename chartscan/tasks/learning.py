"""What finished work taught the stitcher's own factor, and taking that back."""

from __future__ import annotations

from datetime import datetime

from chartscan.errors import YardageError
from chartscan.plaintext import text_key


def unteach(project: str, moment: str) -> str:
    """Take back what a finish taught the own factor; what came of it in words, "" for nothing.

    Only the command line: the worktable takes a finish back by ``drawer.take_back``, which does it.

    Args:
        project: the project that was finished.
        moment: when; UTC, ISO 8601.
    """
    from chartscan.yardage.calibration import load_book, remove_record, save_book, usage_path

    day = datetime.fromisoformat(moment).astimezone().date().isoformat()
    try:
        book = load_book(usage_path())
        taught = [
            number
            for number, record in enumerate(book.records, 1)
            if text_key(record.name) == text_key(project) and record.date == day
        ]
        if not taught:
            return ""
        save_book(remove_record(book, taught[-1])[0], usage_path())
    except YardageError as error:
        return f"What it taught your own factor stays: {error}."
    return "What it taught your own factor is taken back, too."
