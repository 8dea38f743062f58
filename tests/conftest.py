"""What every wing's tests can use: charts drawn with independent truth."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from typing import Any

import pytest
from hypothesis import settings

import chartscan
import tests.drawing
from chartscan.archive.limits import THREADS

# As the program has it (``chartscan/__main__.py``), before anything loads an array: what is
# measured is what she waits for, not how a library shares out products of tiny matrices.
for _name in THREADS:
    os.environ.setdefault(_name, "1")

# A busy machine, or a first import inside a test, is no fault of the code under test. The same
# examples every time, so that a change is judged by what it changes; `--hypothesis-profile search`
# looks for new ones.
settings.register_profile("chartscan", deadline=None, derandomize=True)
settings.register_profile("search", deadline=None)
settings.load_profile("chartscan")


def pytest_collection_finish() -> None:
    """Hypothesis tries constants of every module that is loaded by then: load all, in any order.

    Else what it tries in one of several processes would hang on which tests that one was given.
    """
    if "PYTEST_XDIST_WORKER" not in os.environ:
        return
    for package in (chartscan, tests.drawing):
        for module in walk_packages(package.__path__, f"{package.__name__}."):
            if not module.name.endswith("__main__"):
                with suppress(ImportError):  # what an extra brings may be missing
                    import_module(module.name)


@dataclass(frozen=True)
class Drawn:
    """A drawn chart on disk: its ``pages`` in order, its ``truth``, ``args`` for the command."""

    pages: tuple[Path, ...]
    truth: dict[str, Any]
    args: tuple[str, ...]


DrawChart = Callable[[str, int], Drawn]


@pytest.fixture(scope="session", autouse=True)
def _nobodys_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test counts what the one who runs it owns, or learns from her records."""
    folder = tmp_path_factory.mktemp("nobody")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("CHARTSCAN_STASH", str(folder / "stash.db"))
        patch.setenv("CHARTSCAN_USAGE", str(folder / "usage.json"))
        patch.setenv("CHARTSCAN_SUBSTITUTES", str(folder / "substitutes.csv"))
        yield


@pytest.fixture(scope="session")
def draw_chart(tmp_path_factory: pytest.TempPathFactory) -> DrawChart:
    """``draw_chart(group, seed)``: a chart of ``tests.drawing``, drawn once a session."""
    from tests.drawing.corpus import draw

    done: dict[tuple[str, int], Drawn] = {}

    def drawn(group: str, seed: int) -> Drawn:
        if (group, seed) not in done:
            sample = draw(group, seed)
            folder = tmp_path_factory.mktemp(f"{group}-{seed}")
            sample.write(folder)
            names = sample.truth.get("images") or [sample.truth["image"]]
            pages = tuple(folder / name for name in names)
            args = tuple(sample.truth.get("args", ()))
            done[group, seed] = Drawn(pages, sample.truth, args)
        return done[group, seed]

    return drawn


@pytest.fixture
def clean_chart(draw_chart: DrawChart) -> Drawn:
    """A small clean chart with grid lines, PNG."""
    return draw_chart("clean", 4)


@pytest.fixture
def symbol_chart(draw_chart: DrawChart) -> Drawn:
    """A small chart of glyphs in one ink, PNG."""
    return draw_chart("symbols-one-ink", 1)


@pytest.fixture
def scanned_chart(draw_chart: DrawChart) -> Drawn:
    """A good scan of a printed page, JPEG."""
    return draw_chart("mild-scan", 2)


@pytest.fixture
def photographed_chart(draw_chart: DrawChart) -> Drawn:
    """A page photographed nearly straight, JPEG."""
    return draw_chart("mild-photo", 2)


@pytest.fixture
def chart_on_pages(draw_chart: DrawChart) -> Drawn:
    """A chart on several pages with repeats, PNG."""
    return draw_chart("pages", 1)
