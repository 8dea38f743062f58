"""The table as a process on systems that can't be had here, what it sends, and how it ends."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.test_systems import WITHOUT_UNIX
from tests.conftest import Drawn
from tests.worktable.making import EXAMPLE
from tests.worktable.serving import PATIENCE_S, Served, ends_by_itself, serving, start
from tests.worktable.steps import children
from tests.worktable.tab import Tab

ROOT = str(Path(__file__).parents[2])

# Windows has a lock of its own in place of fcntl's: it is lent fcntl's here. The standard library
# takes a system that has that module for Windows; what asks so is loaded before, and knows SIGKILL.
WINDOWS_LOCK = """
import fcntl, signal, subprocess, sys, types
subprocess.Popen.kill = lambda self, number=signal.SIGKILL: self.send_signal(number)
msvcrt = types.ModuleType("msvcrt")
msvcrt.LK_NBLCK = fcntl.LOCK_EX | fcntl.LOCK_NB
msvcrt.locking = lambda number, mode, length, lock=fcntl.flock: lock(number, mode)
sys.modules["msvcrt"] = msvcrt
del sys.modules["fcntl"], fcntl
"""
WATCHED = """
import os, socket

real = socket.socket.connect

def connect(self, address):
    with open(os.environ["SENT_TO"], "a") as told:
        told.write(repr(address) + "\\n")
    return real(self, address)

socket.socket.connect = connect
"""


def under(folder: Path, code: str) -> dict[str, str]:
    """The environment in which every Python process runs ``code`` first, the reader's too."""
    folder.mkdir()
    (folder / "sitecustomize.py").write_text(code, encoding="utf-8")
    return {"PYTHONPATH": f"{folder}{os.pathsep}{ROOT}"}


def test_a_chart_is_read_on_the_table_without_what_only_unix_has(tmp_path: Path) -> None:
    environment = under(tmp_path / "windows", WINDOWS_LOCK + WITHOUT_UNIX)
    folder = tmp_path / "Tisch für Frau Müller"
    with serving(folder, environment=environment) as served:
        tab = Tab(served)
        told = tab.settled(tab.drop(EXAMPLE))
        assert told["state"] == "read", told
        assert told["pages"][0]["cells"] == [80, 100]
        second = start(folder, environment=environment)
        assert second.process.wait(20) == 0
        assert second.host == served.host
        assert second.process.stderr is not None
        second.process.stderr.close()
        tab.send("POST", "/end", {})
        assert served.process.wait(10) == 0


def test_nothing_is_sent_anywhere(tmp_path: Path) -> None:
    """Every connection that the table and its reader begin is noted, and there is none."""
    noted = tmp_path / "sent"
    environment = under(tmp_path / "watched", WATCHED) | {"SENT_TO": str(noted)}
    with serving(tmp_path / "table", environment=environment) as served:
        tab = Tab(served)
        chart = tab.drop(EXAMPLE)
        assert tab.settled(chart)["state"] == "read"
        version = tab.state(chart)["version"]
        tab.send("POST", "/act/papers/lay", {"chart": chart, "version": version, "paper": "sheet"})
        assert not noted.exists()
        second = start(tmp_path / "table", environment=environment)
        assert second.process.wait(20) == 0  # it asks the first, by a connection to loopback
        assert second.process.stderr is not None
        second.process.stderr.close()
    host, port = served.host.split(":")
    assert noted.read_text().splitlines() == [repr((host, int(port)))]


def by_button(served: Served, tab: Tab) -> None:
    tab.send("POST", "/end", {})


def by_ctrl_c(served: Served, tab: Tab) -> None:
    served.process.send_signal(signal.SIGINT)


def by_the_system(served: Served, tab: Tab) -> None:
    served.process.terminate()


def by_being_killed(served: Served, tab: Tab) -> None:
    served.process.kill()


@pytest.mark.parametrize("ended", [by_button, by_ctrl_c, by_the_system, by_being_killed])
def test_it_ends_with_no_process_left_in_the_midst_of_a_reading(
    photographed_chart: Drawn, tmp_path: Path, ended: Callable[[Served, Tab], None]
) -> None:
    with serving(tmp_path / "table") as served:
        tab = Tab(served)
        chart = tab.drop(photographed_chart.pages[0])
        while tab.state(chart)["state"] != "reading":
            time.sleep(0.02)
        began = children(served.process.pid)
        assert began
        ended(served, tab)
        assert ends_by_itself(served.process)
        assert all_gone(began)


IDLE = """
import sys
from pathlib import Path
from chartscan.worktable.server import run
from chartscan.worktable.settings import WorktableSettings
run(Path(sys.argv[1]), lambda address: print(address, flush=True),
    settings=WorktableSettings(idle_s=2.0))
"""


def test_it_ends_with_no_process_left_when_nobody_uses_it(tmp_path: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-c", IDLE, str(tmp_path)], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    assert process.stdout.readline().startswith("http://127.0.0.1:")
    while not (began := children(process.pid)):  # the page is opened before the reader is there
        assert process.poll() is None
        time.sleep(0.02)
    assert ends_by_itself(process)
    assert process.returncode == 0
    assert all_gone(began)
    process.stdout.close()


def all_gone(processes: list[int]) -> bool:
    """Whether processes end, since they see that nobody speaks to them any more."""
    ends = time.monotonic() + PATIENCE_S
    while any(alive(pid) for pid in processes):
        if time.monotonic() > ends:
            return False
        time.sleep(0.05)
    return True


def alive(pid: int) -> bool:
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"
