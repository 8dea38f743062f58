"""Names of files made of titles: every system takes them, and a title is still known by them."""

from __future__ import annotations

from pathlib import PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.files import file_name

# Microsoft, "Naming Files, Paths, and Namespaces" (from memory)
DEVICES = {"CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"} | {
    f"{port}{number}" for port in ("COM", "LPT") for number in "123456789¹²³"
}


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("Robin", "Robin.html"),
        ("Weihnachten: Rot/Grün?", "Weihnachten Rot Grün.html"),
        ("../../etc/passwd", "etc passwd.html"),
        ("con", "untitled con.html"),
        ("Nul.txt", "untitled Nul.txt.html"),
        ("Aux .1", "untitled Aux .1.html"),
        ("...", "untitled.html"),
        ("\ud800", "untitled.html"),
    ],
)
def test_a_title_becomes_a_name_that_every_system_takes(title: str, name: str) -> None:
    assert file_name(title, ".html") == name


@given(st.one_of(st.text(max_size=400), st.sampled_from(sorted(DEVICES))))
def test_a_name_is_one_plain_word_of_a_path_on_windows_too(title: str) -> None:
    name = file_name(title, ".pdf")
    path = PureWindowsPath(name)
    assert (path.name, path.drive, path.root) == (name, "", "")
    assert name.split(".")[0].strip().upper() not in DEVICES
    assert set(name).isdisjoint('<>:"/\\|?*\0')
    assert len(name.encode()) <= 255
    assert not name.removesuffix(".pdf").endswith((" ", "."))
