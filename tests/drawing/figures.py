"""The figures of a group of readings, and what is asked of each group."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from statistics import fmean, median

from tests.drawing.score import Score

KINDS = ("parts", "lines", "knots")


@dataclass(frozen=True)
class Figures:
    """Shares 0..1 over a group.

    Attributes:
        perfect: charts with every cell right. median: of the share of cells right.
        size: charts of the right size. marks: F1 per kind, over all the group's marks.
        owned: share of wrong cells that were listed as doubtful. doubt: share of cells that were.
        number: how many charts.
    """

    perfect: float
    median: float
    size: float
    marks: Mapping[str, float] = field(default_factory=dict)
    owned: float | None = None
    doubt: float | None = None
    number: int = 0

    def reaches(self, asked: Figures) -> bool:
        """Whether these are as good as ``asked``."""
        whole = (
            self.perfect >= asked.perfect
            and self.median >= asked.median
            and self.size >= asked.size
        )
        candid = asked.owned is None or self.owned is None or self.owned >= asked.owned
        calm = asked.doubt is None or self.doubt is None or self.doubt <= asked.doubt
        marks = all(self.marks.get(k, 1.0) >= v for k, v in asked.marks.items())
        return whole and candid and calm and marks


_MARKS = {"lines": 0.97, "parts": 0.95, "knots": 0.95}
_ALL = Figures(1.0, 1.0, 1.0)

ASKED: dict[str, Figures] = {
    **dict.fromkeys(
        (
            "clean",
            "clean-page",
            "fractional",
            "no-lines",
            "large",
            "odd",
            "covered",
            "formats",
            "symbols-on-colour",
            "symbols-one-ink",
            "pdf",
            "pages",
        ),
        _ALL,
    ),
    "mild-scan": Figures(0.95, 1.0, 1.0, doubt=0.01),
    "medium-scan": Figures(0.85, 0.999, 0.97),
    "covered-worn": Figures(0.85, 0.999, 0.97),
    "hard-scan": Figures(0.5, 0.99, 0.9, owned=0.9),
    "mild-photo": Figures(0.9, 1.0, 1.0, doubt=0.01),
    "medium-photo": Figures(0.75, 0.999, 0.95),
    "hard-photo": Figures(0.4, 0.99, 0.85, owned=0.9),
    "backstitch": Figures(0.9, 1.0, 1.0, _MARKS),
    "parts-knots": Figures(0.9, 1.0, 1.0, _MARKS),
    **dict.fromkeys(
        ("backstitch-one-ink", "backstitch-symbols-on-colour", "parts-symbols-on-colour"),
        Figures(0.95, 1.0, 1.0, _MARKS),
    ),
    "marks-scanned": Figures(0.6, 0.99, 1.0, {"lines": 0.9}),
    "plate": Figures(0.0, 0.97, 1.0),
}

# Other names under which folders of charts come.
_ALIASES = {
    "clean-thin-lines": "clean",
    "clean-fractional": "fractional",
    "symbols-only": "symbols-one-ink",
    "odd-empty-edges": "odd",
    "format-pdf": "pdf",
    "part-stitches-and-knots": "parts-knots",
    "two-pages": "pages",
}


def asked_of(group: str) -> Figures | None:
    """What is asked of ``group``, also where its name is turned round, as in ``scan-mild``."""
    turned = "-".join(reversed(group.split("-")))
    for name in (group, turned, _ALIASES.get(group, "")):
        if name in ASKED:
            return ASKED[name]
    return ASKED["formats"] if group.startswith("format-") else None


def figures(scores: Sequence[Score | None]) -> Figures:
    """The figures of a group; None stands for a chart that wasn't read."""
    read = [s for s in scores if s is not None]
    marks = {}
    for kind in KINDS:
        value = _f1(read, kind)
        if value is not None:
            marks[kind] = value
    wrong = sum(s.wrong for s in read)
    return Figures(
        perfect=fmean(s is not None and s.perfect for s in scores),
        median=median(s.accuracy if s else 0.0 for s in scores),
        size=fmean(s is not None and s.size for s in scores),
        marks=marks,
        owned=sum(s.wrong_flagged for s in read) / wrong if wrong else None,
        doubt=fmean(s.flagged for s in read) if read else None,
        number=len(scores),
    )


def _f1(scores: Sequence[Score], kind: str) -> float | None:
    """F1 of one kind of mark over all charts together."""
    all_of = [s.marks[kind] for s in scores if kind in s.marks]
    true, found = sum(m.true for m in all_of), sum(m.found for m in all_of)
    if not true and not found:
        return None
    recall = sum(m.hit for m in all_of) / true if true else 0.0
    precision = sum(m.ok for m in all_of) / found if found else 0.0
    return 2 * recall * precision / (recall + precision) if recall + precision else 0.0
