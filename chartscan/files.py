"""Writing results whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from chartscan.errors import OutputError


@contextmanager
def replacing(path: Path) -> Iterator[BinaryIO]:
    """Open a temporary file beside ``path`` that takes its name once all is written.

    Nothing is left behind, and an older ``path`` stays as it was, if the block fails.

    Raises:
        OutputError: the folder is missing or not writable, or the disk is full.
    """
    temporary: Path | None = None
    if path.exists() and not path.is_file() and not path.is_dir():
        # A device or pipe would be replaced by the file, not written to.
        raise OutputError(f"{path}: isn't a plain file; give a file name")
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
        temporary = Path(name)
        with os.fdopen(handle, "wb") as stream:
            yield stream
            stream.flush()
            os.fsync(stream.fileno())
        temporary.chmod(0o666 & ~_umask())
        temporary.replace(path)
        temporary = None
    except OSError as error:
        raise OutputError(_reason(path, error)) from error
    finally:
        if temporary is not None:
            temporary.unlink(missing_ok=True)


def write_text(path: Path, text: str) -> None:
    """Write UTF-8 ``text`` to ``path``, whole or not at all (:func:`replacing`)."""
    with replacing(path) as stream:
        stream.write(text.encode("utf-8"))


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _reason(path: Path, error: OSError) -> str:
    if not path.parent.is_dir():
        return f"{path}: the folder {path.parent} does not exist; make it first or choose another"
    if path.is_dir():
        return f"{path}: is a folder; give a file name"
    why = error.strerror or error
    return f"{path}: can't be written ({why}); free some space or choose another place"
