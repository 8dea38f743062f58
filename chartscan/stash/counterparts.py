"""Which thread, thing, project or need of one stash is which of another that it is joined to."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from chartscan.errors import StashError
from chartscan.plaintext import text_key
from chartscan.remedies import Remedy
from chartscan.stash.alike import NEEDS, contents, differences, told_beside
from chartscan.stash.changes import Value, read_row
from chartscan.stash.ledger import Ledger
from chartscan.stash.threads import skein_shelf

# What the columns of a change name, and the table whose numbers they hold.
_NAMED = {
    **dict.fromkeys(("thread", "called", "used", "second"), "threads"),
    **dict.fromkeys(("project", "meant_for"), "projects"),
    **dict.fromkeys(("stock", "notion", "chart"), "stock"),
}
NUMBERED = ("thread_needs", "notion_needs", "fabric_needs", "wishes")


@dataclass
class Counterparts:
    """The numbers here of what has other numbers there; what isn't here yet is made.

    Attributes:
        here: the stash that takes over.
        there: the one that is taken from; only read.
        numbers: table → number there → number here; acts and entries among them.
        remarks: what came under another name.
        met: projects that were told in both and are one: number there → number here.
    """

    here: Ledger
    there: Ledger
    numbers: dict[str, dict[int, int]] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)
    met: dict[int, int] = field(default_factory=dict)
    _tried: list[tuple[str, int]] = field(default_factory=list)

    @contextmanager
    def on_trial(self) -> Iterator[None]:
        """What is noted in the block is forgotten again if it fails."""
        self._tried.clear()
        remarks = len(self.remarks)
        try:
            yield
        except BaseException:
            for table, there in self._tried:
                self.numbers[table].pop(there, None)
            del self.remarks[remarks:]
            raise

    def learn(self, act_there: int, act_here: int, *, one: bool = True) -> None:
        """Take from an act that both have what is the same in it.

        ``one``: it was booked once; else in both, and only what it is about is the same.
        """
        if one:
            self.set("acts", act_there, act_here)
        projects = [
            ledger.value("SELECT project FROM acts WHERE id = ?", (act,))
            for ledger, act in ((self.there, act_there), (self.here, act_here))
        ]
        if None not in projects:
            self.set("projects", *projects)
        if not one:
            return
        sql = "SELECT id, stock FROM entries WHERE act = ? ORDER BY id"
        entries = (self.there.rows(sql, (act_there,)), self.here.rows(sql, (act_here,)))
        for left, right in zip(*entries, strict=False):
            self.set("entries", left["id"], right["id"])
            self._same_stock(left["stock"], right["stock"])
        sql = (
            "SELECT place, row FROM changes WHERE act = ? AND before IS NULL AND place IN"
            f" {NUMBERED} ORDER BY id"
        )
        needs = (self.there.rows(sql, (act_there,)), self.here.rows(sql, (act_here,)))
        if len(needs[0]) == len(needs[1]):
            for left, right in zip(*needs, strict=True):
                self.set(left["place"], _number(left["row"]), _number(right["row"]))

    def set(self, table: str, there: int, here: int) -> None:
        """Note that two numbers name one thing."""
        self.numbers.setdefault(table, {})[int(there)] = int(here)
        self._tried.append((table, int(there)))

    def known(self, table: str, there: int | None) -> int | None:
        """The number here of what has a number there; None where it isn't known yet."""
        return None if there is None else self.numbers.get(table, {}).get(int(there))

    def row(self, table: str, row: Mapping[str, Value]) -> dict[str, Value]:
        """A row of a change with the numbers that its things have here."""
        return {name: self._column(table, name, value) for name, value in row.items()}

    def _column(self, table: str, name: str, value: Value) -> Value:
        if not isinstance(value, int):
            return value
        if name == "id":
            return self.known(table, value) if table in NUMBERED else self.of(table, value)
        return self.of(_NAMED[name], value) if name in _NAMED else value

    def of(self, table: str, there: int) -> int:
        """The number here of a thread, thing in stock or project; made where there is none yet.

        Raises:
            StashError: another project has its name here.
        """
        found = self.known(table, there)
        if found is None:
            make = {"threads": self._thread, "stock": self._stock, "projects": self._project}
            found = make[table](there)
            self.set(table, there, found)
        return found

    def _row(self, table: str, key: str, number: int) -> dict[str, Any]:
        row = self.there.row(f"SELECT * FROM {table} WHERE {key} = ?", (number,))
        if row is None:
            raise StashError("it was dropped there since; nothing is left to take over")
        return dict(row)

    def _same_stock(self, there: int, here: int) -> None:
        self.set("stock", there, here)
        sql = "SELECT thread FROM stock WHERE id = ?"
        threads = (self.there.value(sql, (there,)), self.here.value(sql, (here,)))
        if None not in threads:
            self.set("threads", *threads)

    def _thread(self, there: int) -> int:
        row = self._row("threads", "id", there)
        found = self.here.value(
            "SELECT id FROM threads WHERE code_key = ? AND line_key = ? ORDER BY gone",
            (row["code_key"], row["line_key"]),
        )
        return int(found) if found else self.here.insert("threads", _without(row, "id"))

    def _stock(self, there: int) -> int:
        row = self._row("stock", "id", there)
        if row["kind"] in ("skein", "part"):
            thread = self.of("threads", row["thread"])
            if row["kind"] == "skein":
                return skein_shelf(self.here, thread, row["dye_lot"])
            return self.here.insert("stock", {**_without(row, "id"), "thread": thread})
        table = {"piece": "pieces", "notion": "notions", "chart": "charts"}[row["kind"]]
        about = self._row(table, "stock", there)
        found = self._alike(table, about)
        if found is not None:
            return found
        number = self.here.insert("stock", {"kind": row["kind"], "place": row["place"]})
        if table == "pieces":
            about = self._labelled(about)
        self.here.insert(table, {**about, "stock": number})
        return number

    def _alike(self, table: str, about: Mapping[str, Any]) -> int | None:
        """A notion or chart of the same name here; pieces are one of a kind."""
        where = {
            "notions": "name_key = :name_key AND text_key(unit) = text_key(:unit)",
            "charts": "title_key = :title_key",
        }
        if table not in where:
            return None
        found = self.here.value(f"SELECT stock FROM {table} WHERE {where[table]}", dict(about))
        return None if found is None else int(found)

    def _labelled(self, about: Mapping[str, Any]) -> dict[str, Any]:
        """A piece with a label that nothing here has; told where it is another one."""
        label, number = about["label"], 1
        while self.here.value("SELECT 1 FROM pieces WHERE label = ?", (label,)):
            number += 1
            label = f"{about['label']}-{number}"
        if label != about["label"]:
            self.remarks.append(f"fabric {about['label']} there is {label} here")
        meant = about["meant_for"]
        return {
            **about,
            "label": label,
            "meant_for": None if meant is None else self.of("projects", meant),
        }

    def meet_projects(self, told_one: Collection[str] = ()) -> None:
        """Find the projects that were told in both stashes and are one (``met``).

        Args:
            told_one: names of projects that are one though they differ; what is told here stays.
        """
        told = {text_key(name) for name in told_one}
        taken = set(self.numbers.get("projects", {}).values())
        for row in self.there.rows("SELECT id, name FROM projects ORDER BY id"):
            if self.known("projects", row["id"]) is not None:
                continue
            here = self._namesake(row["name"], taken)
            if here is None:
                continue
            if text_key(row["name"]) in told or not self._differences(row["id"], here):
                taken.add(here)
                self.met[row["id"]] = here
                self.set("projects", row["id"], here)
                beside = told_beside(self.here, here, self.there, row["id"])
                self.remarks += [f"{row['name']}: {words}; that stays" for words in beside]
        for theirs, mine in list(self.numbers.get("projects", {}).items()):
            self._pair_needs(theirs, mine)

    def _namesake(self, name: str, taken: Collection[int]) -> int | None:
        rows = self.here.rows(
            "SELECT id FROM projects WHERE text_key(name) = text_key(?)"
            " ORDER BY state IN ('finished', 'given up'), id DESC",
            (name,),
        )
        return next((int(row["id"]) for row in rows if row["id"] not in taken), None)

    def _differences(self, there: int, here: int) -> list[str]:
        return differences(self.here, here, self.there, there)

    def _pair_needs(self, there: int, here: int) -> None:
        """Note which needs of a project that both have are one, as far as they say the same."""
        for table in NEEDS:
            numbers = self.numbers.setdefault(table, {})
            taken = set(numbers.values())
            mine = [pair for pair in contents(self.here, table, here) if pair[0] not in taken]
            for number, content in contents(self.there, table, there):
                found = next((pair for pair in mine if pair[1] == content), None)
                if number not in numbers and found is not None:
                    mine.remove(found)
                    self.set(table, number, found[0])

    def _project(self, there: int) -> int:
        row = self._row("projects", "id", there)
        rival = self._namesake(row["name"], ())
        if rival is not None:
            differ = ", ".join(self._differences(there, rival)) or "what was done for it"
            raise StashError(
                f"there is another project {row['name']} here, which differs in {differ}",
                Remedy.RENAME_ONE,
                Remedy.SAY_ONE,
                name=row["name"],
            )
        return self.here.insert("projects", {**_without(row, "id"), "state": "planned"})


def _without(row: Mapping[str, Any], key: str) -> dict[str, Any]:
    return {name: value for name, value in row.items() if name != key}


def _number(row: str) -> int:
    number = read_row(row)["id"]
    assert isinstance(number, int)
    return number
