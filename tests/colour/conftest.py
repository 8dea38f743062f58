"""The published CIEDE2000 table, as columns."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

Table = dict[str, NDArray[np.float64]]


@pytest.fixture(scope="session")
def sharma() -> Table:
    """Columns of Table 1 of Sharma, Wu and Dalal (2005) by their symbols, 34 rows each."""
    lines = [
        line
        for line in Path(__file__).with_name("sharma_pairs.csv").read_text("utf-8").splitlines()
        if not line.startswith("#")
    ]
    columns = np.loadtxt(lines[1:], delimiter=",", unpack=True)
    return dict(zip(lines[0].split(","), columns, strict=True))


@pytest.fixture(scope="session")
def lab_1(sharma: Table) -> NDArray[np.float64]:
    """The first colour of each pair, (34, 3)."""
    return np.stack([sharma["L1"], sharma["a1"], sharma["b1"]], axis=-1)


@pytest.fixture(scope="session")
def lab_2(sharma: Table) -> NDArray[np.float64]:
    """The second colour of each pair, (34, 3)."""
    return np.stack([sharma["L2"], sharma["a2"], sharma["b2"]], axis=-1)
