"""The way in, for ``python -m chartscan`` and the installed command.

Ctrl-C ends the program with status 130 from here on, also while it is still being loaded.
"""

from __future__ import annotations

import os

from chartscan.errors import INTERRUPTED, STOPPED

SPARED = 100_000
"""New objects between two searches for garbage. While modules are loaded there is none to find, and
Python's own figure costs a small job some milliseconds."""

THREADS = ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")
"""Where libraries of linear algebra look for how many threads to start. Matrices here are small:
on two cores a photograph took 2.0 s of them with the libraries' own choice, 1.2 s with one."""


def main() -> None:
    """Load the command line and run it; never returns."""
    try:
        import gc
        import signal

        gc.set_threshold(SPARED)
        for name in THREADS:  # before numpy is loaded; what a person set herself stands
            os.environ.setdefault(name, "1")
        signal.signal(signal.SIGINT, lambda *_: _stop())
        from chartscan.cli.main import main as command_line

        command_line()
    except KeyboardInterrupt:
        _stop()


def worktable() -> None:
    """Open the worktable: what the icon calls, which has no terminal."""
    import sys

    sys.argv[1:] = ["worktable", *sys.argv[1:]]
    main()


def _stop() -> None:
    """End at once: nothing has begun yet that would need an orderly end."""
    os.write(2, f"Error: {STOPPED}\n".encode())
    os._exit(INTERRUPTED)


if __name__ == "__main__":
    main()
