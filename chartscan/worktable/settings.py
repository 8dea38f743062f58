"""The numbers of the worktable, each with its unit and its reason."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class WorktableSettings:
    """Limits and waiting times.

    Attributes:
        host: the address it answers on: loopback by number, since a name can be mapped elsewhere.
        port: where it listens; 0 for one that the system picks.
        idle_s: seconds without a request after which it ends by itself: a forgotten page shouldn't
            keep a server, a pause for tea should.
        key_s: seconds in which the key in the address must be used: a browser that starts cold
            takes up to twenty.
        most_tabs: session keys that are valid at a time; the oldest goes first.
        most_file: bytes of a dropped file; an A3 page at 600 dpi as JPEG takes a third of it.
        most_json: bytes of an act; a thousand cells told one by one take 20 kB.
        most_pixels: pixels of a page; A3 at 600 dpi has 70 million.
        most_memory: bytes of private memory that the reader's process may take: 75 million pixels
            as a photograph take 4 bytes each to a pixel's 3 (README), which is 0.9 GB; twice that.
        threads: requests answered at a time: six, as many as a browser opens to one host.
        paper_s: seconds in which a paper that was made for a frame or a tab must be fetched.
    """

    host: str = "127.0.0.1"
    port: int = 0
    idle_s: float = 15 * 60
    key_s: float = 60
    most_tabs: int = 32
    most_file: int = 80_000_000
    most_json: int = 1_000_000
    most_pixels: int = 75_000_000
    most_memory: int = 2_000_000_000
    threads: int = 6
    paper_s: float = 60


DEFAULTS = WorktableSettings()
