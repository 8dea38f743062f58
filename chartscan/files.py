"""Writing results whole or not at all, and files that one process holds at a time."""

from __future__ import annotations

import contextlib
import errno
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from chartscan.errors import OutputError


def is_special(path: Path) -> bool:
    """Whether ``path`` is a pipe, a device or the like: reading one may wait for ever."""
    return path.exists() and not path.is_file() and not path.is_dir()


def real_place(path: Path) -> Path:
    """``path`` from the root, links followed; a link that leads in a circle stays as it is."""
    return Path(os.path.realpath(path))  # Path.resolve raises RuntimeError on a circle


# What some system doesn't take in a file's name: separators, wildcards, control characters; names
# of devices, whatever their ending; a blank or point at the end. Windows is the strictest
# (Microsoft, "Naming Files, Paths, and Namespaces").
_NEVER = re.compile(r'[\x00-\x1f\x7f<>:"/\\|?*]+')
_DEVICES = re.compile(r"(?i)(con|prn|aux|nul|conin\$|conout\$|(com|lpt)[\d¹²³])\s*(\.|$)")
MOST_NAME_BYTES = 120  # of UTF-8: file systems take 255, and a folder's name stands before it


def file_name(title: str, ending: str) -> str:
    """A name for a file called after ``title``, which every system takes; ``ending`` with its dot.

    What a system wouldn't take becomes a blank; of a title that leaves nothing, "untitled".
    """
    words = " ".join(_NEVER.sub(" ", title).split()).strip(". ")
    words = words.encode("utf-8", "ignore")[:MOST_NAME_BYTES].decode("utf-8", "ignore").strip(". ")
    if not words or _DEVICES.match(words):
        words = f"untitled {words}".strip()
    return words + ending


@contextmanager
def replacing(path: Path) -> Iterator[BinaryIO]:
    """Open a temporary file beside ``path`` that takes its name once all is written.

    Where ``path`` is a link, the file that it leads to is written. Nothing is left behind, and an
    older ``path`` stays as it was, if the block fails.

    Raises:
        OutputError: the folder is missing or not writable, or the disk is full.
    """
    temporary: Path | None = None
    if is_special(path):
        # A device or pipe would be replaced by the file, not written to.
        raise OutputError(f"{path}: isn't a plain file; give a file name")
    target = real_place(path)
    if target.is_symlink():
        raise OutputError(f"{path}: is a link that leads in a circle; give another file name")
    try:
        # Named before it is made, so that Ctrl-C in between leaves nothing behind.
        temporary = target.parent / f".chartscan-{os.urandom(8).hex()}.part"
        with temporary.open("xb") as stream:
            yield stream
            stream.flush()
            os.fsync(stream.fileno())
        temporary.replace(target)
        temporary = None
        sync_folder(target.parent)
    except OSError as error:
        raise OutputError(_reason(path, error)) from error
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):  # a disk that refuses this too has told already
                temporary.unlink(missing_ok=True)


def sync_folder(folder: Path) -> None:
    """Make new names in ``folder`` outlive a power cut, where the system can (POSIX)."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    with contextlib.suppress(OSError):  # some network disks can't; the file itself is written
        number = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def write_text(path: Path, text: str) -> None:
    """Write UTF-8 ``text`` to ``path``, whole or not at all (:func:`replacing`)."""
    with replacing(path) as stream:
        stream.write(text.encode("utf-8"))


@contextmanager
def lock_file(path: Path) -> Iterator[bool]:
    """Hold ``path`` (made where it isn't there) in the block; False where another process does.

    The system gives it back when the process ends, however it ends.
    """
    with path.open("a+b") as stream:
        yield _try_lock(stream)


def _try_lock(stream: BinaryIO) -> bool:
    try:
        import fcntl
    except ImportError:
        return _try_lock_windows(stream)
    try:
        fcntl.flock(stream.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _try_lock_windows(stream: BinaryIO) -> bool:
    import importlib

    msvcrt = importlib.import_module("msvcrt")  # only there, so no checker elsewhere knows it
    try:
        stream.seek(0)
        msvcrt.locking(stream.fileno(), msvcrt.LK_NBLCK, 1)
    except OSError:
        return False
    return True


def _reason(path: Path, error: OSError) -> str:
    folder = real_place(path).parent
    if not folder.is_dir():
        shown = folder if path.is_symlink() else path.parent
        return f"{path}: the folder {shown} does not exist; make it first or choose another"
    if path.is_dir():
        return f"{path}: is a folder; give a file name"
    why = error.strerror or error
    if error.errno in (errno.EROFS, errno.EACCES, errno.EPERM):
        return f"{path}: may not be written ({why}); choose another folder"
    return f"{path}: can't be written ({why}); free some space or choose another place"
