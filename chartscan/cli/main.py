"""The way in: ``chartscan …``, and the one place where errors become text and exit status."""

from __future__ import annotations

import contextlib
import io
import os
import sys
import warnings
from collections.abc import Iterator
from typing import TextIO

import click

from chartscan import __version__
from chartscan.cli.commands import LazyGroup
from chartscan.cli.interrupt import Interrupt, ignore, watch
from chartscan.errors import INTERRUPTED, STOPPED, ChartscanError, TableWarning


@click.group(
    cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"], "show_default": True}
)
@click.version_option(__version__, prog_name="chartscan")
def cli() -> None:
    """Read counted-thread charts, count them, match them to your threads and kit them up.

    Lengths come in metric and imperial. Every command takes --help.

    \b
    Example: chartscan kit chart.png --palette threads.csv --fabric 28 --over 2 --sheet kit.html
    """


def main() -> None:
    """Run the command line; exit 0, 1 for an error, 2 for wrong usage, 130 for Ctrl-C.

    Everything is written and closed by then; Python's own taking down of every module, a sixth of
    the time of ``--help``, is left out.
    """
    try:
        watch()
        _fill_gaps()
        _be_lenient()
        status = run()
        ignore()
    except Interrupt:
        ignore()
        status = _stopped()
    with contextlib.suppress(OSError, ValueError):  # what can't be said was told by the status
        sys.stdout.flush()
        sys.stderr.flush()
    os._exit(status)


def _fill_gaps() -> None:
    """Give standard streams that were closed before the start (``>&-``) a place to go nowhere."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, os.fdopen(os.open(os.devnull, os.O_WRONLY), "w"))


def _be_lenient() -> None:
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal that has no sign for × or Δ gets a question mark, not a traceback.
            stream.reconfigure(errors="replace")


def run(arguments: list[str] | None = None) -> int:
    """Run one command line and return its exit status; errors are one line on standard error."""
    try:
        with _telling():
            result = cli.main(args=arguments, prog_name="chartscan", standalone_mode=False)
        sys.stdout.flush()
        return result if isinstance(result, int) else 0
    except ChartscanError as error:
        from chartscan.cli.remedies import worded

        return _say(worded(error), error.exit_status)
    except (click.exceptions.Abort, KeyboardInterrupt):
        return _stopped()
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message(), err=True)
        return error.exit_code
    except click.UsageError as error:
        where = f" (see {error.ctx.command_path} --help)" if error.ctx else ""
        return _say(error.format_message() + where, error.exit_code)
    except click.ClickException as error:
        return _say(error.format_message(), error.exit_code)
    except BrokenPipeError:
        return _leave_output()  # its reader has left; there is no one to tell
    except OSError as error:
        _leave_output()
        where = error.filename or "standard output"
        return _say(f"{where}: can't be read or written ({error.strerror or error})", 1)
    except UnicodeEncodeError as error:
        # A name of another encoding comes in as lone surrogates; it can't be written down.
        around = ascii(error.object[max(0, error.start - 20) : error.end + 20])
        return _say(f"{around}: isn't UTF-8 and can't be written down; give it a plain name", 1)
    except MemoryError:
        return _say("not enough memory; crop the page or scan it at a lower resolution", 1)


@contextlib.contextmanager
def _telling() -> Iterator[None]:
    """What was assumed of a table is told in a line of its own, once."""
    told: set[str] = set()
    others = warnings.showwarning

    def tell(
        message: Warning | str,
        category: type[Warning],
        filename: str,
        lineno: int,
        file: TextIO | None = None,
        line: str | None = None,
    ) -> None:
        if not issubclass(category, TableWarning):
            others(message, category, filename, lineno, file, line)
        elif str(message) not in told:
            told.add(str(message))
            _print(f"Warning: {message}")

    with warnings.catch_warnings():
        warnings.simplefilter("always", TableWarning)
        warnings.showwarning = tell
        yield


def _stopped() -> int:
    if sys.stderr.isatty():
        click.echo(err=True)  # ends the line with ^C on it
    return _say(STOPPED, INTERRUPTED)


def _leave_output() -> int:
    """Send what is left of standard output nowhere, so that Python doesn't fail on it at exit."""
    with contextlib.suppress(OSError, ValueError):  # where a test has put another one in its place
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 1


def _say(message: str, status: int) -> int:
    _print(f"Error: {message}")
    return status


def _print(message: str) -> None:
    from chartscan.plaintext import harmless

    print(" ".join(harmless(message).split()), file=sys.stderr)  # noqa: T201 - the one place
