"""The house: which wing may know of which, and what ``--help`` loads."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import chartscan
from chartscan.cli.commands import COMMANDS
from tests.benchmarks.pages import draw
from tests.conftest import DrawChart

PACKAGE = Path(chartscan.__file__).parent

# Wing: those it may know of, besides itself and the ground (errors, files, tables, progress).
GROUND = {
    "errors",
    "remedies",
    "files",
    "csvtable",
    "cores",
    "entry",
    "plaintext",
    "progress",
    "cloth",
    "database",
    "lengths",
    "__init__",
}
MAY_KNOW = {
    "errors": {"remedies"},
    "remedies": set(),
    "files": {"errors"},
    "database": set(),
    "lengths": set(),
    "csvtable": {"errors", "files", "plaintext"},
    "cores": set(),
    "entry": set(),
    "plaintext": set(),
    "cloth": set(),
    "progress": set(),
    "__init__": set(),
    "colour": set(),
    "chart": set(),
    "reading": {"chart", "colour"},
    "palette": {"chart", "colour", "reading"},
    "yardage": {"chart"},
    "stash": {"chart", "colour", "palette", "yardage"},
    "archive": {"chart", "colour", "reading"},
    "report": {"chart", "colour", "palette", "yardage", "stash", "archive"},
    "tasks": {
        *("chart", "colour", "reading", "palette", "yardage", "stash", "archive", "report"),
    },
    # The two faces don't know each other. A face calls tasks and shows with report; of the wings
    # below, a command may still take a value by its type, and an act that only it has.
    "cli": {
        *("chart", "colour", "reading", "palette", "yardage", "stash", "archive", "report"),
        "tasks",
    },
    # It keeps and corrects charts as values; of the reader it names the type of a reading only.
    "worktable": {"chart", "reading", "tasks", "report"},
    "__main__": {"cli"},
}

Graph = dict[str, set[str]]


def _module(path: Path) -> str:
    return ".".join(("chartscan", *path.relative_to(PACKAGE).with_suffix("").parts))


def _graph() -> Graph:
    """Every module of the package and the modules it imports, anywhere in its text."""
    modules = {_module(path): path for path in PACKAGE.rglob("*.py")}
    return {name: _imports(path, set(modules)) for name, path in modules.items()}


def _imports(path: Path, modules: set[str]) -> set[str]:
    found: set[str] = set()
    for node in _walk(ast.parse(path.read_text(encoding="utf-8")), path):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{path}: a relative import"
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        else:
            continue
        for name in names:
            if name == "chartscan" or name.startswith("chartscan."):
                found.add(_nearest(name, modules))
    return found


def _walk(tree: ast.AST, path: Path) -> Iterator[ast.AST]:
    """Every node; of the worktable without what only types need: it may name any value."""
    for node in ast.iter_child_nodes(tree):
        if (
            path.is_relative_to(PACKAGE / "worktable")
            and isinstance(node, ast.If)
            and isinstance(node.test, ast.Name)
            and node.test.id == "TYPE_CHECKING"
        ):
            continue
        yield node
        yield from _walk(node, path)


def _nearest(name: str, modules: set[str]) -> str:
    """The module that ``name`` (a module, or something in one) is taken from."""
    while name not in modules and f"{name}.__init__" not in modules:
        name = name.rpartition(".")[0]
    return name if name in modules else f"{name}.__init__"


def _wing(module: str) -> str:
    return module.split(".")[1]


def test_no_wing_knows_of_one_it_should_not() -> None:
    wrong = [
        f"{module} imports {imported}"
        for module, imports in _graph().items()
        for imported in imports
        if _wing(imported) not in {_wing(module)} | MAY_KNOW[_wing(module)] | GROUND
        or (_wing(module) in GROUND and _wing(imported) not in MAY_KNOW[_wing(module)])
    ]
    assert wrong == []


def test_no_two_files_import_each_other_by_any_way_round() -> None:
    graph = _graph()
    done: set[str] = set()

    def visit(module: str, road: list[str]) -> None:
        assert module not in road, " -> ".join([*road[road.index(module) :], module])
        if module in done:
            return
        for imported in sorted(graph[module]):
            visit(imported, [*road, module])
        done.add(module)

    for module in sorted(graph):
        visit(module, [])


def test_no_value_that_holds_an_array_leaves_its_equality_to_the_dataclass() -> None:
    """Comparing arrays gives an array, which is neither true nor false; Python 3.13 asks."""
    wrong = [
        f"{path.relative_to(PACKAGE)}: {node.name}"
        for path in PACKAGE.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef) and _is_compared_by_field(node)
        if any("NDArray" in ast.unparse(f.annotation) for f in _fields(node))
    ]
    assert wrong == []


def _fields(node: ast.ClassDef) -> list[ast.AnnAssign]:
    return [part for part in node.body if isinstance(part, ast.AnnAssign)]


def _is_compared_by_field(node: ast.ClassDef) -> bool:
    """Whether ``node`` is a dataclass without an equality of its own and without ``eq=False``."""
    decorators = " ".join(ast.unparse(decorator) for decorator in node.decorator_list)
    own = any(isinstance(part, ast.FunctionDef) and part.name == "__eq__" for part in node.body)
    return "dataclass" in decorators and "eq=False" not in decorators and not own


# ---------------------------------------------------------------------------- start-up

LOADED = """
import sys
before = set(sys.modules)
from chartscan.cli.main import run
run(sys.argv[1:])
print("\\n".join(sorted(set(sys.modules) - before)), file=sys.stderr)
"""

USAGE = "Usage: chartscan"


def _loaded(*arguments: str, says: str = "") -> set[str]:
    """Modules that a fresh interpreter loads for a command line; its answer has to say that."""
    done = subprocess.run(
        [sys.executable, "-c", LOADED, *arguments], capture_output=True, text=True, check=True
    )
    assert says in done.stdout
    return set(done.stderr.split())


def test_help_loads_click_and_the_list_of_commands_and_nothing_else() -> None:
    loaded = _loaded("--help", says=USAGE)
    ours = {name for name in loaded if name.split(".")[0] == "chartscan"}
    assert ours <= {
        "chartscan",
        "chartscan.cli",
        "chartscan.cli.main",
        "chartscan.cli.commands",
        "chartscan.cli.interrupt",
        "chartscan.errors",
    }
    others = {name.split(".")[0] for name in loaded} - set(sys.stdlib_module_names)
    assert others <= {"chartscan", "click", "typing_extensions", "_virtualenv"}
    assert "importlib.metadata" not in loaded, "it alone takes as long as click"


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_a_command_loads_no_wing_and_no_array(command: str) -> None:
    loaded = _loaded(command, "--help", says=USAGE)
    ours = {name for name in loaded if name.startswith("chartscan.")}
    wings = {_wing(name) for name in ours}
    assert wings <= {"cli", "worktable", *GROUND}
    assert not {"numpy", "PIL", "rich", "jinja2", "scipy", "skimage", "sqlite3"} & loaded


def test_a_chart_file_is_kitted_up_without_loading_the_reader(chart_file: Path) -> None:
    arguments = ("kit", str(chart_file), "--palette", "meadowline", "--fabric", "28", "--json")
    loaded = _loaded(*arguments)
    assert "chartscan.stash.kit" in loaded
    assert not {"chartscan.reading", "scipy", "skimage", "PIL"} & loaded


def test_a_plain_picture_is_counted_without_what_only_other_pages_need(
    draw_chart: DrawChart,
) -> None:
    picture = draw_chart("clean-page", 3).pages[0]
    loaded = _loaded("count", str(picture), "--json")
    reading = "chartscan.reading."
    assert f"{reading}read" in loaded
    seldom = {
        f"{reading}{name}"
        for name in ("join.pages", "vector.trace", "lattice.grown", "review.picture")
    }
    assert not ({f"{reading}marks.search", "scipy", "skimage", "rich"} | seldom) & loaded


def test_a_jpeg_that_lies_straight_loads_none_of_the_search_for_bent_grids(tmp_path: Path) -> None:
    """Nor what measures lines: where all edges lie tight, its size is beyond doubt."""
    picture = tmp_path / "page.jpg"
    draw(30, 30, 32, 8, 80).save(picture, quality=95)
    loaded = _loaded("count", str(picture), "--json")
    lattice = "chartscan.reading.lattice."
    assert f"{lattice}tight" in loaded, "the page was read otherwise"
    search = ("views", "contest", "seeds", "grow", "rectified")
    assert not {f"{lattice}{name}" for name in search} & loaded
