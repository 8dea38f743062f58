"""The program on systems that can't be had here: what only Unix has is taken away first."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from chartscan.cli.commands import COMMANDS

ROOT = str(Path(__file__).parents[2])

# Windows has none of these. A module that imports one, or takes one from `os` or `signal` while it
# is loaded or run, fails here as it would there. os.getuid is left: platformdirs needs it here.
WITHOUT_UNIX = """
import importlib.abc, os, signal, sys

class Refuse(importlib.abc.MetaPathFinder):
    def find_spec(self, name, path=None, target=None):
        if name in ("fcntl", "grp", "pwd", "resource", "syslog", "termios", "tty", "pty"):
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)

sys.meta_path.insert(0, Refuse())
for name in ("SIGALRM", "SIGHUP", "SIGKILL", "SIGUSR1", "setitimer", "getitimer", "alarm",
             "ITIMER_REAL", "pthread_kill", "pause", "sigwait", "siginterrupt"):
    delattr(signal, name)
for name in ("fork", "getpgid", "killpg", "setsid", "fchmod", "chown",
             "mkfifo", "nice", "sync", "O_NOFOLLOW", "O_DIRECTORY"):
    delattr(os, name)
"""
RUN = WITHOUT_UNIX + "\nfrom chartscan.__main__ import main\nmain()\n"


def _run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", RUN, *arguments],
        capture_output=True,
        text=True,
        cwd=folder,
        env={
            **os.environ,
            "PYTHONPATH": ROOT,
            "CHARTSCAN_STASH": str(folder / "Ärmel und Garn" / "stash.db"),
        },
    )


@pytest.mark.parametrize("command", COMMANDS)
def test_the_help_of_each_command_needs_nothing_that_only_unix_has(
    tmp_path: Path, command: str
) -> None:
    done = _run(tmp_path, command, "--help")
    assert (done.returncode, done.stderr) == (0, "")
    assert "Usage: chartscan" in done.stdout


def test_a_chart_is_read_kitted_and_kept_without_what_only_unix_has(
    stripes: Path, tmp_path: Path
) -> None:
    """The whole road: picture, chart file, kit with its sheet, drawer, project, shopping list."""
    for arguments in (
        ("read", str(stripes), "-o", "chart.json"),
        ("kit", "chart.json", "--palette", "meadowline", "--fabric", "28", "--sheet", "kit.html"),
        ("stash", "add", "thread", "ROS1", "--palette", "meadowline"),
        ("project", "new", "Streifen & Söhne", "--chart", "chart.json", "--palette", "meadowline",
         "--fabric", "28"),
        ("shop", "list", "--sheet", "einkauf für heute.html"),
    ):  # fmt: skip
        done = _run(tmp_path, *arguments)
        assert done.returncode == 0, (arguments, done.stderr)
    assert {p.name for p in tmp_path.iterdir() if not p.name.startswith(".")} >= {
        "chart.json",
        "kit.html",
        "einkauf für heute.html",
        "Ärmel und Garn",
    }


# Where each system keeps a person's data, by its own maker's guidelines.
PLACES = {
    "linux": ".local/share/chartscan",
    "darwin": "Library/Application Support/chartscan",
    "win32": "AppData/Local/chartscan",
}
ON = """
import sys
real, sys.platform = sys.platform, {system!r}
sys.modules["ctypes"] = None  # there is no Windows behind it to ask; its environment says the same
try:
    import platformdirs
except ImportError:  # early releases load it in any case, and look whether there is a Windows
    del sys.modules["ctypes"]
    import platformdirs
platformdirs.user_data_path("loaded for this system")
sys.platform = real
sys.modules.pop("ctypes", None)
from chartscan.__main__ import main
main()
"""


@pytest.mark.parametrize("system", PLACES)
def test_the_stash_that_nobody_names_lies_where_the_system_keeps_data(
    tmp_path: Path, system: str
) -> None:
    home = tmp_path / "Frau Müller"
    home.mkdir()
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("XDG_", "CHARTSCAN_"))}
    done = subprocess.run(
        [sys.executable, "-c", ON.format(system=system), "stash", "add", "thread", "ROS1"],
        capture_output=True,
        text=True,
        env={
            **kept,
            "PYTHONPATH": ROOT,
            "HOME": str(home),
            "LOCALAPPDATA": str(home / "AppData" / "Local"),
        },
    )
    assert done.returncode == 0, done.stderr
    assert (home / PLACES[system] / "stash.db").is_file()
