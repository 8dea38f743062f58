"""Text as people write and compare it: on one line, harmless, the same whatever its capitals."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

# Control characters steer a terminal; marks of direction reorder what stands around them; marks
# that take no room make two names look the same.
_HARMFUL = re.compile(
    "[\x00-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028-\u202e\u2060-\u2069\ufeff\ufff9-\ufffb]+"
)
_ACCENTS = re.compile(
    "(?<=[a-zA-Z])[\u0300-\u036f]+"
)  # on Latin letters; elsewhere they are letters


def harmless(text: str) -> str:
    """``text`` on one line, without control characters and marks of direction."""
    return _HARMFUL.sub(" ", text)


def plain(text: str) -> str:
    """The same without blanks at its ends."""
    return harmless(text).strip()


@lru_cache(maxsize=20_000)
def text_key(text: str) -> str:
    """What two texts have in common that people take for the same: "Écru ", "écru", "ecru".

    Capitals, accents on Latin letters and the number of spaces don't count.
    """
    bare = _ACCENTS.sub("", unicodedata.normalize("NFKD", plain(text)))
    return " ".join(unicodedata.normalize("NFC", bare).casefold().split())


def code_key(code: str) -> str:
    """What two codes have in common that name one thread: "RA 11", "ra11", " ROS1"."""
    return text_key(code).replace(" ", "")


def number_order(code: str) -> str:
    """A key by which codes sort as people count: RA2 before ROS1."""
    text, digits = "", ""
    for letter in [*code_key(code), ""]:
        if letter.isdecimal():
            digits += letter
            continue
        text += digits.zfill(12) if digits else ""
        digits = ""
        text += letter
    return text


def thread_order(line: str, code: str) -> tuple[str, str]:
    """A key by which threads sort as they hang in a shop: by their line, then as people count."""
    return text_key(line), number_order(code)
