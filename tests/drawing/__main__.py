"""Draw test charts, or score the reader on folders of them.

python -m tests.drawing --group medium-scan --count 20 --seed 7 --out DIR
python -m tests.drawing score DIR... [--jobs 2]
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tests.drawing.corpus import GROUPS, draw


def main(arguments: list[str]) -> int:
    """Run one of the two commands; the exit status."""
    if arguments[:1] == ["score"]:
        from tests.drawing.runner import score_command

        return score_command(arguments[1:])
    parser = argparse.ArgumentParser(prog="python -m tests.drawing", description=__doc__)
    parser.add_argument("--group", action="append", choices=sorted(GROUPS), help="default: all")
    parser.add_argument("--count", type=int, default=5, help="charts per group")
    parser.add_argument("--seed", type=int, default=1, help="number of the first chart")
    parser.add_argument("--out", type=Path, required=True, help="folder to write to")
    options = parser.parse_args(arguments)
    for group in options.group or list(GROUPS):
        for seed in range(options.seed, options.seed + options.count):
            folder = options.out / f"{group}-{seed:04d}"
            draw(group, seed).write(folder)
            sys.stdout.write(f"{folder}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
