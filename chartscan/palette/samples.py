"""The sample files that come with the program; every thread and line in them is invented.

They lie beside the package in an installation and one folder up in a checkout.
"""

from __future__ import annotations

from pathlib import Path

from chartscan.errors import TableError

SAMPLES = {
    "meadowline": "408 invented stranded cottons, 40 of them discontinued",
    "fenmarl-pearl": "120 invented pearl cottons, four of them variegated",
    "css-colours": "the named colours of the web (W3C CSS Color 4)",
}
"""Sample thread ranges by the name that ``--palette`` takes."""

EXAMPLES = {
    "stash-example": "an invented stash in Meadowline",
    "fabrics-example": "an invented list of fabrics",
}
"""Sample files that aren't thread ranges."""


def sample_folder() -> Path:
    """The folder that holds the sample files.

    Raises:
        TableError: the installation lacks it.
    """
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "palettes", package.parent / "palettes"):
        if folder.is_dir():
            return folder
    raise TableError(f"{package}: the sample palettes are missing; install the program again")


def resolve(path: Path) -> Path:
    """``path``, or the sample file of that bare name where no such file is there."""
    if path.exists() or path.name != str(path) or path.name not in {**SAMPLES, **EXAMPLES}:
        return path
    return sample_folder() / f"{path.name}.csv"
