"""The charts of the table on disk: a folder each, found by an id that is no path.

::

    charts/k3v7…/card.json     title, state, what was told and chosen
                 page-1.jpg    the file as it was dropped
                 chart.json    the chart as it stands, its corrections in it
                 look/         pictures of it, cut into tiles
"""

from __future__ import annotations

import contextlib
import secrets
import shutil
import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from chartscan.errors import ChartError
from chartscan.files import replacing, write_text
from chartscan.worktable.faults import Missing, Stale
from chartscan.worktable.jobs import CHART
from chartscan.worktable.kept import Kept, PageFile, dump_kept, parse_kept

if TYPE_CHECKING:
    from chartscan.chart import Chart

ID_BYTES = 10  # of chance: 80 bits, so that no two charts meet
MOST_OPEN = 3  # charts held in memory; a million cells are 4 MB each

CARD = "card.json"


class Shelf:
    """All charts of one data folder. Every act on one goes through :meth:`change`."""

    def __init__(self, folder: Path) -> None:
        self.data_folder = folder
        self._folder = folder / "charts"
        self._folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        self._lock = threading.RLock()
        self._kept = {kept.id: kept for kept in self._load()}
        self._charts: dict[str, Chart] = {}

    def all(self) -> list[Kept]:
        """Every chart, the last changed first."""
        with self._lock:
            return list(reversed(self._kept.values()))

    def get(self, chart_id: str) -> Kept:
        """The chart of that id; Missing where there is none."""
        with self._lock:
            if chart_id not in self._kept:
                raise Missing(chart_id)
            return self._kept[chart_id]

    def chart(self, chart_id: str) -> Chart:
        """What was read, as it stands; ChartError where it isn't read yet."""
        from chartscan.chart import load_chart

        with self._lock:
            kept = self.get(chart_id)
            if chart_id not in self._charts:
                path = self.folder(chart_id) / CHART
                if not path.is_file():
                    raise ChartError(f"{kept.title}: isn't read yet")
                self._hold(chart_id, load_chart(path))
            return self._charts[chart_id]

    def folder(self, chart_id: str) -> Path:
        """Where the files of a chart lie; Missing where there is none of that id."""
        return self._folder / self.get(chart_id).id

    def add(self, title: str) -> Kept:
        """Lay a new chart on the shelf, without a page yet."""
        chart_id = secrets.token_hex(ID_BYTES)
        (self._folder / chart_id).mkdir(mode=0o700)
        with self._lock:
            return self._save(Kept(chart_id, title))

    def add_file(self, chart_id: str, ending: str, name: str, data: bytes) -> Kept:
        """Put a file to the pages of a chart, after those that it has."""
        with self._lock:
            kept = self.get(chart_id)
            stored = PageFile(f"page-{len(kept.files) + 1}{ending}", name)
            with replacing(self.folder(chart_id) / stored.stored) as stream:
                stream.write(data)
            return self._save(replace(kept, files=(*kept.files, stored)))

    def change(
        self,
        chart_id: str,
        version: int | None,
        change: Callable[[Kept], Kept],
        chart: Chart | None = None,
    ) -> Kept:
        """Do one act on a chart: what ``change`` makes of it is kept, one version on.

        Args:
            chart_id: which chart.
            version: the version that was acted on; None where the table itself acts.
            change: the new value of the old one; it may raise, and then nothing is changed.
            chart: what was read, where the act changes that.

        Raises:
            Missing: there is no such chart.
            Stale: it has another version by now.
        """
        with self._lock:
            kept = self.get(chart_id)
            if version not in (None, kept.version):
                raise Stale(kept.version)
            changed = change(kept)
            if chart is not None:
                from chartscan.chart import save_chart

                save_chart(chart, self.folder(chart_id) / CHART)
                self._hold(chart_id, chart)
            return self._save(replace(changed, id=kept.id, version=kept.version + 1))

    def remove(self, chart_id: str) -> None:
        """Take a chart off the shelf, its files with it."""
        with self._lock:
            shutil.rmtree(self.folder(chart_id), ignore_errors=True)
            del self._kept[chart_id]
            self._charts.pop(chart_id, None)

    def _save(self, kept: Kept) -> Kept:
        write_text(self._folder / kept.id / CARD, dump_kept(kept))
        self._kept.pop(kept.id, None)
        self._kept[kept.id] = kept
        return kept

    def _hold(self, chart_id: str, chart: Chart) -> None:
        self._charts.pop(chart_id, None)
        while len(self._charts) >= MOST_OPEN:
            del self._charts[next(iter(self._charts))]
        self._charts[chart_id] = chart

    def _load(self) -> list[Kept]:
        """Every card that can be read, the last changed last; damaged ones are left alone."""
        cards = sorted(self._folder.glob(f"*/{CARD}"), key=lambda path: path.stat().st_mtime)
        found = []
        for path in cards:
            with contextlib.suppress(OSError, ValueError):
                kept = parse_kept(path.read_text(encoding="utf-8"))
                if kept.id == path.parent.name:
                    found.append(kept)
        return found
