"""Files that nobody would write on purpose are read or refused, never anything else."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chartscan.errors import ChartscanError
from chartscan.palette import (
    load_codes,
    load_fabrics,
    load_key,
    load_owned,
    load_palette,
)
from tests.palette.making import chart_of

CELLS = st.one_of(
    st.sampled_from(
        ["", "1", "A", "#ffffff", "#000 #fff", "-5", "1e999", "nan", "50", "x\ny", '"', "0", "½",
         "discontinued", "Meadowline", "ROS4", "=1+1", "\x00", "\u202e", "9" * 400, "1,5", "#"]
    ),
    st.text(max_size=6),
)  # fmt: skip
HEADS = (
    "code,name,hex,L,a,b,line,status,metres,strands,price,illuminant",
    "code;skeins;line;metres_left;note",
    "class\tcode\tline",
    "name,hex,count,width_cm,height_cm",
    "GIMP Palette",
)
MEADOW = load_palette(Path("meadowline"))
READERS: dict[str, Callable[[Path], object]] = {
    "palette": load_palette,
    "stash": load_owned,
    "fabrics": load_fabrics,
    "codes": lambda path: load_codes(path, MEADOW),
    "key": lambda path: load_key(path, chart_of(["#aa0000", None]), MEADOW),
}


def _complaint(reader: str, path: Path) -> str | None:
    """What the reader refuses the file with; None where it takes it."""
    try:
        READERS[reader](path)
    except ChartscanError as error:
        return str(error)
    return None


@pytest.mark.parametrize("reader", READERS)
@settings(
    deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    head=st.sampled_from(HEADS),
    rows=st.lists(st.lists(CELLS, max_size=12), max_size=5),
    separator=st.sampled_from([",", ";", "\t"]),
)
def test_any_table_is_read_or_refused_in_one_line(
    tmp_path: Path, reader: str, head: str, rows: list[list[str]], separator: str
) -> None:
    path = tmp_path / "table.csv"
    text = "\n".join([head, *(separator.join(row) for row in rows)])
    path.write_bytes(text.encode("utf-8", "replace"))
    assert _complaint(reader, path) is None or str(path) in str(_complaint(reader, path))


@pytest.mark.filterwarnings("ignore::chartscan.errors.TableWarning")
@pytest.mark.parametrize("reader", READERS)
@settings(
    deadline=None, max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(tmp_path: Path, reader: str, data: bytes) -> None:
    path = tmp_path / "table.csv"
    path.write_bytes(data)
    assert _complaint(reader, path) is None or str(path) in str(_complaint(reader, path))
