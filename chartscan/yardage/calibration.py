"""The stitcher's own factor, learnt from what finished work really took.

Each record gives a ratio, used to estimated. Their logarithms are taken as the stitcher's own value
plus chance; the value is shrunk towards 1, because most stitchers are near it and few records say
little, and a record far off the others weighs little (Student's t weights, as in Lange, Little and
Taylor, "Robust statistical modeling using the t distribution", J. Am. Stat. Assoc. 84, 1989). How
much her projects vary about her value is shrunk towards what is assumed in the same way (a scaled
inverse chi-squared prior, as in Gelman and others, Bayesian Data Analysis, chapter 3): so her own
figures take the place of the assumed ones piece by piece, as records come in.
Only :func:`load_book` and :func:`save_book` in here touch a file.
"""

from __future__ import annotations

import json
import math
import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import NDArray

from chartscan.errors import YardageError
from chartscan.files import is_special, write_text
from chartscan.yardage.requirement import Factor

FORMAT = "chartscan.usage"
VERSION = 1
ENVIRONMENT = "CHARTSCAN_USAGE"
ROUNDS = 200  # of reweighting; it settles in a few dozen


@dataclass(frozen=True)
class FactorSettings:
    """What is assumed before any record.

    Attributes:
        between_sd: spread of stitchers' own factors about 1, as a share. With ``within_sd``, in
            squares, it makes what the spreads of hands in :class:`EstimateSettings` make of a solid
            area (5.5 to 6.5 %), of which half is taken for the stitcher's own and half for the
            project's; an assumption, no source.
        within_sd: spread of one stitcher's projects about her own, as a share. The other half.
        worth: records that the assumed ``within_sd`` is worth against hers; an assumption.
        degrees: degrees of freedom of Student's t; 4 is the value that Lange et al. recommend
            where it can't be estimated.
        widest: a ratio or its inverse beyond that isn't a record but a slip of the pen.
    """

    between_sd: float = 0.04
    within_sd: float = 0.04
    worth: float = 4.0
    degrees: float = 4.0
    widest: float = 20.0


@dataclass(frozen=True)
class Record:
    """What one finished project took of one or all of its threads.

    Attributes:
        name: what it is called.
        estimated_mm: likely length by the estimate, without any own factor; single strand.
        used_mm: what it really took; single strand.
        date: day it was noted, ISO, or "".
    """

    name: str
    estimated_mm: float
    used_mm: float
    date: str = ""

    @property
    def ratio(self) -> float:
        """Used to estimated."""
        return self.used_mm / self.estimated_mm


@dataclass(frozen=True)
class Book:
    """The stitcher's records, oldest first, and whether estimates use them."""

    records: tuple[Record, ...] = ()
    on: bool = True


def estimate_factor(
    records: Sequence[Record], settings: FactorSettings = FactorSettings()
) -> Factor:
    """The stitcher's own factor with what is left of the spread from habits.

    The value is the mode of its posterior: prior normal(0, between_sd) on the logarithm, records
    Student's t about it; found by reweighting from no difference, so that one wild record is
    met with doubt.
    """
    if not records:
        return Factor()
    ratios = np.log([record.ratio for record in records])
    prior = 1 / settings.between_sd**2
    value, weights = 0.0, np.zeros(len(ratios))
    for _ in range(ROUNDS):
        far = ((ratios - value) / settings.within_sd) ** 2
        weights = (settings.degrees + 1) / (settings.degrees + far) / settings.within_sd**2
        before, value = value, float((weights * ratios).sum() / (weights.sum() + prior))
        if abs(value - before) < 1e-12:
            break
    weights = np.minimum(weights, 1 / settings.within_sd**2)
    left = 1 / (prior + float(weights.sum()))
    varies = _varies(ratios - value, weights * settings.within_sd**2, settings)
    way = NormalDist().inv_cdf(0.95) * math.sqrt(left)
    return Factor(
        value=math.exp(value),
        habit=math.hypot(math.sqrt(left), varies)
        / math.hypot(settings.between_sd, settings.within_sd),
        records=len(records),
        between=(math.exp(value - way), math.exp(value + way)),
        varies=varies,
    )


def _varies(off: NDArray[np.float64], weights: NDArray[np.float64], s: FactorSettings) -> float:
    """Her projects' spread about her value: the assumed one and the seen one, by their worth.

    ``off`` are the records' distances from her value, ``weights`` how much each is trusted, 0 to 1;
    one record goes into the value itself.
    """
    free = max(0.0, float(weights.sum()) - 1)
    seen = float((weights * off**2).sum()) if free else 0.0
    return math.sqrt((s.worth * s.within_sd**2 + seen) / (s.worth + free))


def own_factor(book: Book) -> Factor:
    """The factor that estimates are to use: none while it is switched off."""
    return estimate_factor(book.records) if book.on else Factor()


def add_record(book: Book, record: Record) -> Book:
    """``book`` with one more record.

    Raises:
        YardageError: lengths that can't be.
    """
    widest = FactorSettings().widest
    lengths = (record.estimated_mm, record.used_mm)
    if not all(math.isfinite(mm) and mm > 0 for mm in lengths):
        raise YardageError(f"{record.name}: estimated and used lengths must be over 0")
    if not 1 / widest <= record.ratio <= widest:
        raise YardageError(
            f"{record.name}: used is {record.ratio:.3g} times the estimate; check the units"
        )
    return replace(book, records=(*book.records, record))


def remove_record(book: Book, number: int | None = None) -> tuple[Book, Record]:
    """``book`` without record ``number`` (from 1; None for the last), and that record."""
    count = len(book.records)
    number = count if number is None else number
    if not count:
        raise YardageError("there are no records to take back")
    if not 1 <= number <= count:
        raise YardageError(f"there is no record {number}; there are 1 to {count}")
    kept = book.records[: number - 1] + book.records[number:]
    return replace(book, records=kept), book.records[number - 1]


# ---------------------------------------------------------------------------- file


def usage_path() -> Path:
    """Where the records lie: ``CHARTSCAN_USAGE``, else in the user's own data folder."""
    told = os.environ.get(ENVIRONMENT)
    if told:
        return Path(told)
    from platformdirs import user_data_path

    return user_data_path("chartscan", appauthor=False) / "usage.json"


def load_book(path: Path) -> Book:
    """The records in ``path``; an empty book where there is no such file.

    Raises:
        YardageError: the file can't be read or is damaged.
    """
    try:
        if is_special(path):
            raise YardageError(f"{path}: isn't a plain file; usage records are kept in one")
        data = json.loads(path.read_text(encoding="utf-8"))
        return _parse(data)
    except FileNotFoundError:
        return Book()
    except OSError as error:
        raise YardageError(f"{path}: can't be opened ({error.strerror})") from error
    except (UnicodeDecodeError, ValueError, KeyError, TypeError, RecursionError) as error:
        raise YardageError(
            f"{path}: these usage records are damaged; mend or move the file away"
        ) from error


def save_book(book: Book, path: Path) -> None:
    """Write ``book`` to ``path``, whole or not at all; its folder is made where it is missing."""
    data = {
        "format": FORMAT,
        "version": VERSION,
        "on": book.on,
        "records": [
            {
                "name": r.name,
                "date": r.date,
                "estimated_mm": round(r.estimated_mm, 1),
                "used_mm": round(r.used_mm, 1),
            }
            for r in book.records
        ],
    }
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise YardageError(f"{path.parent}: can't be made ({error.strerror})") from error
    write_text(path, json.dumps(data, ensure_ascii=False, indent=1) + "\n")


def _parse(data: Any) -> Book:  # noqa: ANN401 - decoded JSON is anything until it is checked
    if data["format"] != FORMAT or data["version"] != VERSION:
        raise ValueError("not usage records")
    book = Book(on=bool(data["on"]))
    for r in data["records"]:
        record = Record(str(r["name"]), float(r["estimated_mm"]), float(r["used_mm"]), r["date"])
        book = add_record(book, record)
    return book
