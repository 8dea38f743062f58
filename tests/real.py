"""Pictures that nobody here drew, read by one command once they are at hand.

python -m tests.real FOLDER            reads what FOLDER holds of the files in tests/real.csv
python -m tests.real FOLDER --group boards

None of them lies in the project; a file that isn't in FOLDER is left out and told.

- plates: printed symbol charts of the 19th century, public domain; blocks of two were read by eye.
- boards: a two-coloured board held in the hand, sample data of OpenCV (``left01.jpg`` to
  ``left06.jpg``; Apache-2.0), upright in three of them. Fields alternate, so every cell is known.
- newspaper grids: puzzles of 9 x 9 among text, photographed with telephones. Wicht and Hennebert,
  "Camera-based Sudoku Recognition with Deep Belief Network", SoCPaR 2014; the data set
  (github.com/wichtounet/sudoku_dataset, training part of v2) is CC BY 4.0. Title from memory.
"""

from __future__ import annotations

import argparse
import csv
import json
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from numpy.typing import NDArray

from tests.drawing.intervals import wilson

LIST = Path(__file__).with_suffix(".csv")
ROOT = Path(__file__).parents[1]
SECONDS = 300.0
BOARD = "board"


@dataclass(frozen=True)
class Picture:
    """A real picture and what is known of it.

    Attributes:
        group: what kind of picture it is.
        file: below the folder where such pictures lie.
        size: columns and rows.
        truth: the file of a block that was read by eye, ``board``, or "" for only a size.
        corner: row and column of the block's first cell.
    """

    group: str
    file: Path
    size: tuple[int, int]
    truth: str
    corner: tuple[int, int]


@dataclass(frozen=True)
class Found:
    """What the reader made of a picture: its size, and how many of the known cells are right.

    Where it made no chart, ``said`` holds its last line.
    """

    picture: Picture
    size: tuple[int, int] | None
    right: int = 0
    known: int = 0
    questions: int = 0
    said: str = ""

    @property
    def sized(self) -> bool:
        """Whether the size is right."""
        return self.size == self.picture.size


def pictures() -> Iterator[Picture]:
    """All of the list."""
    with LIST.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            size = int(row["columns"]), int(row["rows"])
            corner = int(row["row"] or 0), int(row["column"] or 0)
            yield Picture(row["group"], Path(row["file"]), size, row["truth"], corner)


def read(picture: Picture, folder: Path) -> Found:
    """Read a picture as a stitcher does, in a process of its own."""
    with TemporaryDirectory() as scratch:
        out = Path(scratch) / "chart.json"
        command = [sys.executable, "-m", "chartscan", "read", str(folder / picture.file)]
        try:
            done = subprocess.run(
                [*command, "-o", str(out)],
                capture_output=True,
                text=True,
                timeout=SECONDS,
                check=False,
                cwd=ROOT,
            )
        except subprocess.TimeoutExpired:
            return Found(picture, None, said=f"no answer in {SECONDS:.0f} s")
        if not out.exists():
            return Found(picture, None, said=(done.stderr.strip().splitlines() or ["silent"])[-1])
        chart = json.loads(out.read_text(encoding="utf-8"))
    size = chart["columns"], chart["rows"]
    if size != picture.size or not picture.truth:
        return Found(picture, size, questions=len(chart.get("questions", ())))
    truth = truth_of(picture, folder)
    row, column = picture.corner
    kinds = ["" if c["kind"] == "empty" else str(c["index"]) for c in chart["classes"]]
    cells = np.array(kinds)[np.array(chart["cells"])]
    block = cells[row : row + truth.shape[0], column : column + truth.shape[1]]
    right = agreeing(truth, block)
    return Found(picture, size, right, truth.size, len(chart.get("questions", ())))


def truth_of(picture: Picture, folder: Path) -> NDArray[np.str_]:
    """The known cells, a letter each, as they were read by eye; ``.`` is bare fabric."""
    if picture.truth == BOARD:
        columns, rows = picture.size
        return np.array([["ab"[(i + j) % 2] for j in range(columns)] for i in range(rows)])
    lines = (folder / picture.truth).read_text(encoding="utf-8").splitlines()
    return np.array([list(line) for line in lines if line.strip() and not line.startswith("# ")])


def agreeing(truth: NDArray[np.str_], found: NDArray[np.str_]) -> int:
    """How many cells are right where each class found stands for what most of its cells are.

    Where only stitched or bare was told (``#`` and ``.``), every class that isn't bare is stitched.
    """
    if set(np.unique(truth)) <= {"#", "."}:
        return int(((found == "") == (truth == ".")).sum())
    pairs = Counter(zip(found.ravel().tolist(), truth.ravel().tolist(), strict=True))
    best: dict[str, tuple[int, str]] = {}
    for (ours, theirs), number in pairs.items():
        best[ours] = max(best.get(ours, (0, "")), (number, theirs))
    # Of two classes for one symbol only the larger is right: the other is a class too many.
    kept: dict[str, int] = {}
    for number, theirs in best.values():
        kept[theirs] = max(kept.get(theirs, 0), number)
    return sum(kept.values())


def row(group: str, found: Sequence[Found]) -> str:
    """A line of the table in Markdown."""
    sized = sum(f.sized for f in found)
    low, high = wilson(sized, len(found))
    known = [f for f in found if f.known]
    cells = f"{sum(f.right for f in known)} of {sum(f.known for f in known)}" if known else "-"
    whole = f"{sum(f.right == f.known for f in known)} of {len(known)}" if known else "-"
    asked = sum(not f.sized and (f.size is None or f.questions > 0) for f in found)
    share = f"{sized} of {len(found)} ({100 * low:.0f}-{100 * high:.0f} %)"
    return f"| {group} | {share} | {cells} | {whole} | {asked} of {len(found) - sized} |"


def main(arguments: Sequence[str]) -> int:
    """Read, and print the table; exit status 0, whatever the figures are."""
    parser = argparse.ArgumentParser(prog="python -m tests.real", description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--group", action="append", help="default: all")
    told = parser.parse_args(arguments)
    rows = [
        "| pictures | size right | known cells right | all right | wrong size: refused or asked |"
    ]
    rows.append("| --- | --- | --- | --- | --- |")
    groups: dict[str, list[Found]] = {}
    for picture in pictures():
        if told.group and picture.group not in told.group:
            continue
        if not (told.folder / picture.file).exists():
            sys.stderr.write(f"{picture.file}: isn't in {told.folder}\n")
            continue
        found = read(picture, told.folder)
        groups.setdefault(picture.group, []).append(found)
        size = found.said if found.size is None else f"{found.size[0]} x {found.size[1]}"
        cells = f", {found.right} of {found.known} cells" if found.known else ""
        asked = f", {found.questions} asked" if found.questions else ""
        sys.stderr.write(f"{picture.file}: {size}{cells}{asked}\n")
    rows += [row(group, found) for group, found in groups.items()]
    sys.stdout.write("\n".join(rows) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
