"""The public names of the wing, and that looking at it loads nothing heavy."""

from __future__ import annotations

import subprocess
import sys
import types

import chartscan.palette


def test_the_public_names_are_those_that_are_listed() -> None:
    public = {
        name
        for name, value in vars(chartscan.palette).items()
        if not name.startswith("_") and not isinstance(value, types.ModuleType)
    }
    assert public == set(chartscan.palette.__all__)


def test_matching_without_assignment_loads_no_scipy_and_no_scikit_image() -> None:
    code = (
        "import sys; from pathlib import Path\n"
        "from chartscan.palette import *\n"
        "palette = load_palette(Path('meadowline'))\n"
        "nearest_threads(parse_wanted('#123456', palette), palette)\n"
        "heavy = {'scipy', 'skimage', 'colormath', 'networkx', 'rich'} & set(sys.modules)\n"
        "sys.exit(', '.join(heavy) or 0)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
