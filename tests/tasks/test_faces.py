"""Every task is called by both faces, or says why it isn't."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import chartscan

PACKAGE = Path(chartscan.__file__).parent
FACES = {"cli": "Only the command line", "worktable": "Only the worktable"}

# Tasks that the worktable is yet to call; a name goes from here when its screen is there.
NOT_YET = {
    "charts": {"compare_print", "expect", "is_chart_file", "open_chart", "read_chart"},
    "corrections": {
        "answer_question",
        "open_again",
        "pictures_beside",
    },
}

Task = tuple[str, str]


def _tasks() -> dict[Task, str]:
    """Every public function of the tasks, by module and name, with its docstring."""
    return {
        (path.stem, node.name): ast.get_docstring(node) or ""
        for path in (PACKAGE / "tasks").glob("*.py")
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
    }


def _called_by(face: str) -> set[Task]:
    return {task for path in (PACKAGE / face).rglob("*.py") for task in _calls(path)}


def _calls(path: Path) -> Iterator[Task]:
    """The tasks that a file imports by name, or takes from a module of tasks."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    modules: dict[str, str] = {}
    for node in ast.walk(tree):
        if not isinstance(node, ast.ImportFrom) or node.module is None:
            continue
        if node.module == "chartscan.tasks":
            modules |= {alias.asname or alias.name: alias.name for alias in node.names}
        elif node.module.startswith("chartscan.tasks."):
            yield from ((node.module.rpartition(".")[2], alias.name) for alias in node.names)
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            module = modules.get(node.value.id)
            if module:
                yield module, node.attr


@pytest.mark.parametrize("face", FACES)
def test_each_task_is_called_by_this_face_or_says_why_not(face: str) -> None:
    other = next(words for name, words in FACES.items() if name != face)
    not_yet = {(m, n) for m, names in NOT_YET.items() for n in names if face == "worktable"}
    tasks, called = _tasks(), _called_by(face)
    silent = {task for task, told in tasks.items() if f"{other}: " not in told}
    assert silent - called - not_yet == set(), "these are called by one face only and don't say why"
    assert (set(tasks) - silent) & called == set(), "these say that this face doesn't call them"
    assert not_yet & called == set(), "these are called now"
    assert not_yet <= set(tasks)


def test_the_calls_are_seen_however_a_task_is_imported(tmp_path: Path) -> None:
    file = tmp_path / "face.py"
    file.write_text(
        "from chartscan.tasks import papers as p\n"
        "from chartscan.tasks.threads import nearest as near\n"
        "p.kit_sheet(kit)\nother.kit_label(kit)\n",
        encoding="utf-8",
    )
    assert set(_calls(file)) == {("papers", "kit_sheet"), ("threads", "nearest")}
