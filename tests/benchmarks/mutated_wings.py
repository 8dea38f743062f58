"""What :mod:`tests.benchmarks.mutation` changes, wing by wing, and the quick tests to notice it.

Slow tests are left out, so that a change is judged in seconds: exhaustive searches, stashes of
many years, processes that are killed. The whole suite notices a little more than is told here.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Room:
    """Files that are changed together, and the tests that a change in them is tried by.

    Attributes:
        files: patterns of the files that are changed, from the project's root.
        tests: files and folders of tests, from the project's root.
        slow: tests, or beginnings of their names, that are left out.
    """

    files: tuple[str, ...]
    tests: tuple[str, ...]
    slow: tuple[str, ...] = ()


@dataclass(frozen=True)
class Wing:
    """A part of the program; one sample is drawn from all its rooms.

    Attributes:
        name: what it is asked for by.
        title: what the table calls it.
        rooms: its files with their tests.
    """

    name: str
    title: str
    rooms: tuple[Room, ...]


def _palette(*names: str) -> tuple[str, ...]:
    return tuple(f"chartscan/palette/{name}.py" for name in names)


def _report(*names: str) -> tuple[str, ...]:
    return tuple(f"chartscan/report/{name}.py" for name in names)


def _reading(room: str, *slow: str) -> Room:
    """A room of the reader: its files are tried by its own tests."""
    return Room(
        (f"chartscan/reading/{room}/**/*.py",),
        (f"tests/reading/{room}",),
        tuple(f"tests/reading/{room}/{name}" for name in slow),
    )


COLOUR = Room(("chartscan/colour/*.py",), ("tests/colour",))
MATCHING = Room(
    _palette("choose", "distinct", "fewer", "matching", "ownership", "shades", "targets", "weigh"),
    (
        "tests/palette/test_at_hand.py",
        "tests/palette/test_distinct.py",
        "tests/palette/test_fewer.py",
        "tests/palette/test_shades.py",
        "tests/palette/test_matching.py",
    ),
)
YARDAGE = Room(
    ("chartscan/yardage/*.py",),
    (
        "tests/yardage/test_areas.py",
        "tests/yardage/test_calibration.py",
        "tests/yardage/test_fabric.py",
        "tests/yardage/test_handling.py",
        "tests/yardage/test_marks.py",
        "tests/yardage/test_path.py",
        "tests/yardage/test_pieces.py",
        "tests/yardage/test_risk.py",
        "tests/yardage/test_settings.py",
        "tests/yardage/test_route.py",
        "tests/yardage/test_together.py",
        "tests/yardage/test_walk.py",
        "tests/yardage/test_estimate.py",
        "tests/yardage/test_carries.py",
        "tests/yardage/test_chances.py",
    ),
    (
        "tests/yardage/test_estimate.py::test_mirrored_and_turned",
        "tests/yardage/test_estimate.py::test_more_stitches_of_one_joined_area",
        "tests/yardage/test_estimate.py::test_moving_a_part_away",
        "tests/yardage/test_path.py::test_the_nearest_is_the_nearest",
    ),
)
ALLOTMENT = Room(("chartscan/stash/allotment.py",), ("tests/stash/test_allotment.py",))
FINISHING = Room(
    ("chartscan/stash/finishing.py",),
    ("tests/stash/test_kitting.py", "tests/stash/test_mending.py"),
)
TABLES = Room(
    _report(
        "bar", "cutplan", "kitfile", "kittable", "labels", "listing", "lists", "terminal", "units"
    ),
    ("tests/report",),
    ("tests/report/working/",),
)
READER = (
    _reading("lattice"),
    _reading("cells"),
    _reading("classes"),
    _reading("marks"),
    _reading("doubt"),
    _reading("page"),
    _reading("join"),
    _reading("printed"),
    _reading("reopen"),
    _reading("review"),
    Room(
        ("chartscan/reading/vector/*.py",),
        ("tests/reading/vector", "tests/reading/page/test_pdf.py"),
    ),
)

WINGS = (
    Wing("colour", "colour", (COLOUR,)),
    Wing("palette", "matching of threads", (MATCHING,)),
    Wing("yardage", "yardage", (YARDAGE,)),
    Wing("allotment", "allotment", (ALLOTMENT,)),
    Wing("finishing", "finishing", (FINISHING,)),
    Wing("report", "tables and lists", (TABLES,)),
    Wing("reading", "stages of the reader", READER),
)
