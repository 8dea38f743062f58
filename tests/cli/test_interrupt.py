"""Ctrl-C at any moment: status 130, one line, nothing half-written; real processes and signals."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = str(Path(__file__).parents[2])
BEFORE_ENTRY = 77  # the signal came before the entry point was called
ENTRY = """
import os
try:
    os.write({begun}, b".")
    from chartscan.__main__ import main
    main()
except KeyboardInterrupt:
    os._exit({before})
"""


def _interrupted(seconds: float, folder: Path, *arguments: str) -> tuple[int, str]:
    """Status and standard error of a command that gets Ctrl-C ``seconds`` after its entry."""
    reading, writing = os.pipe()
    process = subprocess.Popen(
        [
            sys.executable,
            "-c",
            ENTRY.format(begun=writing, before=BEFORE_ENTRY),
            *arguments,
        ],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": ROOT},
        pass_fds=(writing,),
    )
    os.close(writing)
    os.read(reading, 1)
    os.close(reading)
    time.sleep(seconds)
    process.send_signal(signal.SIGINT)
    said = process.communicate(timeout=60)[1]
    return process.returncode, said


@pytest.mark.parametrize("seconds", [n * 0.06 for n in range(14)])
def test_a_reading_that_is_interrupted_ends_with_130_or_is_done(
    stripes: Path, tmp_path: Path, seconds: float
) -> None:
    """From loading the program to after the last word; only a finished reading may say 0."""
    out = tmp_path / "out"
    out.mkdir()
    status, said = _interrupted(seconds, out, "read", str(stripes), "-o", "chart.json")
    left = [path.name for path in out.iterdir()]
    assert status in (0, 130, BEFORE_ENTRY), said
    if status == 0:
        assert left == ["chart.json"]
    if status == 130:
        assert said.splitlines()[-1] == "Error: stopped; nothing is half-written"
        assert said.startswith("Error: ") or left == ["chart.json"]
        assert left in ([], ["chart.json"])


@pytest.mark.parametrize("seconds", [0.0, 0.005, 0.01, 0.02])
def test_while_the_program_is_loaded_it_stops_with_130(tmp_path: Path, seconds: float) -> None:
    status, said = _interrupted(seconds, tmp_path, "estimate", "--help")
    if status not in (0, BEFORE_ENTRY):
        assert (status, said) == (130, "Error: stopped; nothing is half-written\n")


# A module that, like some compiled ones, makes an ImportError of whatever befalls it.
TOUCHY = """
import os, time
os.write(1, b"loading ")
try:
    time.sleep(0.3)
except BaseException as error:
    raise ImportError("broken") from error
os.write(1, b"loaded ")
"""
# What Windows lacks is taken away before the program is loaded.
WITHOUT_CLOCK = """
import signal
for name in ("SIGALRM", "setitimer", "getitimer", "ITIMER_REAL", "pthread_kill", "alarm"):
    delattr(signal, name)
"""
LOADER = """
import sys, time
from chartscan.cli.interrupt import Interrupt, ignore, watch
watch()
try:
    import touchy
    for _ in range(600):  # a long sleep isn't woken here by a signal that a thread raises
        time.sleep(0.1)
except Interrupt:
    ignore()
    print("stopped", flush=True)
"""


@pytest.mark.parametrize("before", ["", WITHOUT_CLOCK], ids=["with a clock", "without"])
def test_ctrl_c_waits_for_a_module_that_is_being_loaded(tmp_path: Path, before: str) -> None:
    (tmp_path / "touchy.py").write_text(TOUCHY, encoding="utf-8")
    path = os.pathsep.join([str(tmp_path), ROOT])
    process = subprocess.Popen(
        [sys.executable, "-c", before + LOADER],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": path},
    )
    assert process.stdout is not None
    begun = os.read(process.stdout.fileno(), 8)
    process.send_signal(signal.SIGINT)
    rest, said = process.communicate(timeout=30)
    assert (begun + rest).decode() == "loading loaded stopped\n"
    assert said == b""
