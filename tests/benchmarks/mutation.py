"""How many small changes to the code the tests notice: a share for each wing, with its interval.

python -m tests.benchmarks.mutation                       every wing, 60 changes each
python -m tests.benchmarks.mutation yardage --sample 200 --seed 7
python -m tests.benchmarks.mutation reading --within chartscan/reading/doubt

Cosmic Ray (https://cosmic-ray.readthedocs.io) says where code can be changed and how: a sum becomes
a difference, a number one more or less, a comparison another, a condition its contrary, a loop runs
never. Of all such changes some are drawn at random and made one at a time in a copy of the project.
Of the quick tests of its room those that reach the changed statement are run until one fails, those
named after the file first, then the quickest. A change that makes them run forever is noticed too.
What is written to the screen of each survivor is the line before and after, so that somebody can
say what a stitcher would lose by it.

Left out are changes that can't show in a figure: in type annotations, in the arguments of
decorators, and ``strict`` of ``zip``. Among the others some make no difference whatever is asked
(a slack of 1e-9 that is a hair more, say); they count as survivors, so a share is a lower bound.
"""

from __future__ import annotations

import argparse
import ast
import compileall
import math
import os
import py_compile
import random
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from types import MappingProxyType
from typing import Any

from tests.benchmarks.mutated_wings import WINGS, Room, Wing
from tests.benchmarks.reached import TOLD, Reach, load_reach
from tests.drawing.intervals import wilson

ROOT = Path(__file__).parents[2]
COPIED = ("chartscan", "tests", "palettes", "examples", "pyproject.toml", "README.md")
PATIENCE = 3.0  # times what the tests take while watched, before a change counts as endless
LEAST_SECONDS = 30.0  # beside that, for loading
SAMPLE, SEED = 60, 1
Position = tuple[int, int]


@dataclass(frozen=True)
class Change:
    """One way of changing one file: an operator of Cosmic Ray, and which of its places.

    Attributes:
        file: from the project's root.
        operator: its name.
        occurrence: the number of the place in that file.
        start: line, from 1, and column of the place.
    """

    file: Path
    operator: str
    occurrence: int
    start: Position


def changes(root: Path, files: Sequence[Path]) -> list[Change]:
    """All changes that can show, in an order that is always the same."""
    return [change for file in sorted(files) for change in _changes_of(root, file)]


def _changes_of(root: Path, file: Path) -> Iterator[Change]:
    from cosmic_ray.ast import ast_nodes, get_ast_from_path
    from cosmic_ray.plugins import get_operator, operator_names

    source = root / file
    barred = _barred(source.read_text(encoding="utf-8"))
    nodes = list(ast_nodes(get_ast_from_path(source)))
    for name in sorted(operator_names()):
        kind = get_operator(name)
        if kind.arguments():
            continue  # those that must be told what to put in
        operator = kind()
        places = (at for node in nodes for at, _ in operator.mutation_positions(node))
        for occurrence, start in enumerate(places):
            if not any(first <= start < last for first, last in barred):
                yield Change(file, name, occurrence, start)


def _barred(source: str) -> list[tuple[Position, Position]]:
    """Where a change can't show: annotations, arguments of decorators, ``strict`` of ``zip``."""
    found: list[ast.expr] = []
    for node in ast.walk(ast.parse(source)):
        match node:
            case ast.AnnAssign(annotation=said) | ast.arg(annotation=ast.expr() as said):
                found.append(said)
            case ast.FunctionDef(returns=returns, decorator_list=decorators):
                found += [*decorators, *([returns] if returns else [])]
            case ast.ClassDef(decorator_list=decorators):
                found += decorators
            case ast.keyword(arg="strict", value=value):
                found.append(value)
    return [_extent(node) for node in found]


def _extent(node: ast.expr) -> tuple[Position, Position]:
    assert node.end_lineno is not None
    assert node.end_col_offset is not None
    return (node.lineno, node.col_offset), (node.end_lineno, node.end_col_offset)


@dataclass(frozen=True)
class Outcome:
    """What the tests said of a change: ``noticed`` by a failure or by running on, and the lines."""

    change: Change
    noticed: bool
    endless: bool
    before: str
    after: str


def try_out(root: Path, change: Change, room: Room, reach: Reach) -> Outcome:
    """Make ``change`` in the copy at ``root``, run the tests that reach it, and take it back."""
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator

    source = root / change.file
    text = source.read_text(encoding="utf-8")
    changed: str | None = mutate_code(text, get_operator(change.operator)(), change.occurrence)
    assert changed is not None, change
    before, after = _differing(text, changed)
    tests = reach.tests_of(change.file, change.start[0], text)
    tests.sort(key=lambda test: Path(test.split("::")[0]).stem != f"test_{change.file.stem}")
    if not tests:
        return Outcome(change, noticed=False, endless=False, before=before, after=after)
    seconds = LEAST_SECONDS + PATIENCE * sum(reach.seconds.get(test, 0.0) for test in tests)
    try:
        source.write_text(changed, encoding="utf-8")
        status = run_tests(root, tests, room.slow, seconds)
    finally:
        source.write_text(text, encoding="utf-8")
    return Outcome(change, status != 0, status == -signal.SIGXCPU, before, after)


def _differing(text: str, changed: str) -> tuple[str, str]:
    pairs = zip(text.splitlines(), changed.splitlines(), strict=False)
    return next(((a.strip(), b.strip()) for a, b in pairs if a != b), ("", ""))


def run_tests(
    root: Path,
    tests: Sequence[str],
    slow: Sequence[str],
    seconds: float | None = None,
    watched: Sequence[str] = (),
    told: Mapping[str, str] = MappingProxyType({}),
) -> int:
    """The exit status of tests, up to the first that fails or ``seconds`` of processor time.

    ``watched`` are words before ``-m pytest``, ``told`` goes into the environment.
    """
    left_out = [argument for name in slow for argument in ("--deselect", name)]
    command = [sys.executable, *watched, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider"]
    # Compiled files are told by their content, see copy_project: none need be written.
    environment = {**os.environ, "PYTHONPATH": str(root), "PYTHONDONTWRITEBYTECODE": "1", **told}
    done = subprocess.run(
        [*_limited(seconds), *command, *tests, *left_out],
        cwd=root,
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        check=False,
    )
    return done.returncode


def _limited(seconds: float | None) -> tuple[str, ...]:
    """What ends a command after so much processor time, however busy the machine is."""
    if seconds is None:
        return ()
    return ("sh", "-c", f'ulimit -t {math.ceil(seconds)}; exec "$@"', "sh")


def find_reach(root: Path, room: Room) -> Reach:
    """Run the tests of a room once and see what each reaches; SystemExit where one fails as is."""
    data, seconds = root / "reached", root / "seconds.json"
    watched = ("-m", "coverage", "run", f"--data-file={data}", "--source=chartscan")
    told = {TOLD: str(seconds), "PYTEST_PLUGINS": "tests.benchmarks.reached"}
    status = run_tests(root, room.tests, room.slow, None, watched, told)
    if status != 0:
        raise SystemExit(f"{room.tests[0]}: the tests fail before anything is changed")
    reach = load_reach(root, data, seconds)
    taken = sum(reach.seconds[file] for file in reach.files)
    sys.stderr.write(f"{room.files[0]}: its tests take {taken:.0f} s while they are watched\n")
    return reach


def copy_project(to: Path) -> None:
    """What the tests need, with compiled files that know what they were made of."""
    ignore = shutil.ignore_patterns("__pycache__")
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, to / name, ignore=ignore)
        else:
            shutil.copy(source, to / name)
    by_content = py_compile.PycInvalidationMode.CHECKED_HASH
    compileall.compile_dir(to, quiet=1, invalidation_mode=by_content)


def measure(
    wing: Wing, sample: int, seed: int, within: Sequence[Path] = (Path(),)
) -> list[Outcome]:
    """Draw changes of a wing and try them one by one; survivors are told as they come.

    Args:
        wing: what is changed, and the tests that should notice.
        sample: how many changes are drawn.
        seed: of the draw.
        within: folders from the project's root; what lies elsewhere isn't changed.
    """
    with TemporaryDirectory() as folder:
        root = Path(folder)
        copy_project(root)
        every = [
            (room, change) for room in wing.rooms for change in _changes_in(root, room, within)
        ]
        drawn = random.Random(seed).sample(every, min(sample, len(every)))
        reaches = {room: find_reach(root, room) for room in {room for room, _ in drawn}}
        sys.stderr.write(f"{wing.name}: {len(drawn)} of {len(every):,} changes\n")
        outcomes = []
        for room, change in drawn:
            outcomes.append(try_out(root, change, room, reaches[room]))
            if not outcomes[-1].noticed:
                sys.stderr.write(_told(outcomes[-1]))
            noticed = sum(outcome.noticed for outcome in outcomes)
            sys.stderr.write(f"{wing.name}: {noticed} of {len(outcomes)} noticed so far\n")
    return outcomes


def _changes_in(root: Path, room: Room, within: Sequence[Path]) -> list[Change]:
    files = {path.relative_to(root) for glob in room.files for path in root.glob(glob)}
    asked = [file for file in files if any(file.is_relative_to(folder) for folder in within)]
    return changes(root, asked)


def _told(outcome: Outcome) -> str:
    change = outcome.change
    where = f"{change.file}:{change.start[0]} {change.operator.removeprefix('core/')}"
    return f"  {where}\n    - {outcome.before}\n    + {outcome.after}\n"


def row(wing: Wing, outcomes: Sequence[Outcome]) -> str:
    """A line of the table in Markdown."""
    noticed = sum(o.noticed for o in outcomes)
    low, high = wilson(noticed, len(outcomes))
    share = noticed / max(1, len(outcomes))
    return (
        f"| {wing.title} | {len(outcomes)} | {noticed} | {100 * share:.0f} %"
        f" ({100 * low:.0f}-{100 * high:.0f}) |"
    )


def main(arguments: Sequence[str]) -> int:
    """Measure and print; exit status 0, whatever the figures are."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.benchmarks.mutation",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    names = [wing.name for wing in WINGS]
    parser.add_argument("wings", nargs="*", metavar="WING", help=f"{', '.join(names)}; all of them")
    parser.add_argument("--sample", type=int, default=SAMPLE, help="changes per wing")
    parser.add_argument("--seed", type=int, default=SEED, help="of the draw")
    parser.add_argument(
        "--within", type=Path, action="append", help="folder outside of which nothing is changed"
    )
    told: Any = parser.parse_args(arguments)
    if unknown := set(told.wings) - set(names):
        parser.error(f"no such wing: {', '.join(sorted(unknown))}; there are {', '.join(names)}")
    rows = [
        row(wing, measure(wing, told.sample, told.seed, told.within or (Path(),)))
        for wing in WINGS
        if not told.wings or wing.name in told.wings
    ]
    sys.stdout.write(f"Seed {told.seed}, {told.sample} a wing, {datetime.now(UTC):%Y-%m-%d}\n\n")
    sys.stdout.write("| changes in | tried | noticed | share (95 %) |\n| --- | --- | --- | --- |\n")
    sys.stdout.write("\n".join(rows) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
