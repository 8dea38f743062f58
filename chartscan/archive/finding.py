"""Finding the pictures and PDFs of folders, what each holds, and its digest."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from chartscan.errors import ArchiveError, PageError

# A file called so is meant to be a picture: if it can't be opened, that is told, not passed over.
PICTURES = frozenset(
    {".png", ".jpg", ".jpeg", ".jpe", ".webp", ".tif", ".tiff", ".bmp", ".gif", ".pdf", ".heic"}
)
EMPTY = hashlib.sha256(b"").hexdigest()


@dataclass(frozen=True)
class Found:
    """A file that holds pages.

    Attributes:
        path: where it lies.
        sha256: of its bytes, hex.
        bytes: its size.
        modified_ns: when it was last written, as the system counts it.
        pages: how many pages it holds; one where it can't be opened.
        paged: whether they go by number.
    """

    path: str
    sha256: str
    bytes: int
    modified_ns: int
    pages: int = 1
    paged: bool = False


@dataclass(frozen=True)
class Lying:
    """A file as its folder lists it: all that is known of it before it is opened."""

    path: str
    bytes: int
    modified_ns: int


def count_in(folders: Iterable[Path]) -> int:
    """How many files :func:`lying_in` will come upon, without looking at any."""
    count = 0
    for folder in folders:
        count += folder.is_file()
        for _, below, names in os.walk(folder):
            below[:] = [name for name in below if not name.startswith(".")]
            count += sum(not name.startswith(".") for name in names)
    return count


def lying_in(folders: Iterable[Path], pass_over: Callable[[str], None]) -> Iterator[Lying]:
    """Every file in ``folders`` and below, in order of its path; a file may be named itself.

    Names that begin with a point and links to folders are left out; ``pass_over`` is told, in a
    line each, of what can't be looked into.

    Raises:
        ArchiveError: one of ``folders`` isn't there.
    """
    for folder in folders:
        if folder.is_file():
            yield from _stat(folder, pass_over)
            continue
        if not folder.is_dir():
            raise ArchiveError(f"{folder}: there is no such folder; check its name")
        yield from _below(folder, pass_over)


def _below(folder: Path, pass_over: Callable[[str], None]) -> Iterator[Lying]:
    def unseen(error: OSError) -> None:
        pass_over(f"{error.filename}: can't be looked into ({error.strerror}); left out")

    for place, folders, names in os.walk(folder, onerror=unseen):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(names):
            if not name.startswith("."):
                yield from _stat(Path(place) / name, pass_over)


def _stat(path: Path, pass_over: Callable[[str], None]) -> Iterator[Lying]:
    try:
        str(path).encode()
        told = path.stat()
    except UnicodeEncodeError:
        pass_over(f"{str(path)!a}: its name isn't UTF-8; left out, give it a plain name")
    except OSError as error:
        pass_over(f"{path}: can't be looked at ({error.strerror}); left out")
    else:
        if path.is_file():
            yield Lying(str(path), told.st_size, told.st_mtime_ns)


def look_up(lying: Lying) -> Found | None:
    """What a file holds, and its digest; None where it is neither picture nor PDF.

    Raises:
        PageError: its bytes can't be read.
    """
    from chartscan.reading.page.glance import Holding, holding
    from chartscan.reading.page.page import digest_of

    path = Path(lying.path)
    meant = path.suffix.lower() in PICTURES
    try:
        held = holding(path)
    except PageError:
        held = Holding(1, paged=False)  # its worker says what is wrong with it
    if held is None:
        if not meant:
            return None
        held = Holding(1, paged=False)
    digest = EMPTY if not lying.bytes else digest_of(path)
    return Found(lying.path, digest, lying.bytes, lying.modified_ns, held.pages, held.paged)
