"""Drawer: what is owned and where, what came and went, taking back; projects and what to buy."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from chartscan.report import units
from chartscan.tasks import drawer, papers, projects, threads
from chartscan.worktable.kitting import read_rgb, stash_of, state_of
from chartscan.worktable.screen import Asked, Screen, Shown

if TYPE_CHECKING:
    from pathlib import Path

    from chartscan.stash.lookback import HistoryEntry
    from chartscan.stash.paper import FabricLabel, StashNotion, StashThread
    from chartscan.stash.today import TodayProject
    from chartscan.worktable.table import Table

MOST_ROWS = 200  # of a list at a time: typing narrows it sooner than scrolling does
HISTORY_ROWS = 100
CM = 10.0  # mm
JSON = "application/json"
Promises = Mapping[tuple[str, str], Sequence[Any]]


def _show(table: Table, asked: Asked) -> Mapping[str, Any]:
    return {
        "begun": stash_of(table).exists(),
        "ranges": table.ranges.all(),
        "parts": tuple(PARTS),
    }


# ---------------------------------------------------------------------------- looking


def _list(table: Table, asked: Asked) -> Shown:
    """One part of the drawer, narrowed to what has all the words typed."""
    part = asked.text("part")
    if part not in PARTS:
        raise ValueError(f"there is no part {part!r}")
    place, words = stash_of(table), str(asked.told.data.get("words", ""))
    rows = PARTS[part](table, place, words) if place.exists() else []
    counts = {}
    if words.strip() and place.exists():  # where else is it?
        found = _look_into(table, place, words)
        owned = found.owned
        counts = {
            "threads": len(owned.threads),
            "fabrics": len(owned.fabrics),
            "notions": len(owned.notions),
            "charts": len(found.charts),
        }
    return _json({"rows": rows[:MOST_ROWS], "all": len(rows), "counts": counts})


def _look_into(table: Table, place: Path, words: str) -> drawer.Drawer:
    everything = table.lately.get(("drawer", state_of(place)), lambda: drawer.look_into(place))
    return drawer.find(everything, words)


def _threads(table: Table, place: Path, words: str) -> list[dict[str, Any]]:
    promises = table.lately.get(("promised", state_of(place)), lambda: drawer.promised(place))
    return [_thread(t, promises) for t in _look_into(table, place, words).owned.threads]


def _thread(t: StashThread, promises: Promises) -> dict[str, Any]:
    free = t.skeins - t.promised_skeins
    return {
        "name": f"{t.line} {t.code}".strip(),
        "words": t.name,
        "rgb": None if t.rgb is None else list(t.rgb),
        "skeins": units.amount(t.skeins),
        "free": units.amount(free),
        "parts": [units.metres(m * 1000) for m in t.part_metres],
        "opened_only": not t.skeins and bool(t.part_metres),
        "lots": list(t.dye_lots),
        "holders": [_holder(one) for one in promises.get((t.line, t.code), ())],
    }


def _holder(one: Any) -> dict[str, str]:  # noqa: ANN401 - a value of the stash, shown as it is
    amounts = [units.amount(one.skeins)] * bool(one.skeins)
    amounts += [units.metres(one.part_metres * 1000)] * bool(one.part_metres)
    return {"project": one.project, "amount": " + ".join(amounts)}


def _fabrics(table: Table, place: Path, words: str) -> list[dict[str, Any]]:
    return [_fabric(f) for f in _look_into(table, place, words).owned.fabrics]


def _fabric(f: FabricLabel) -> dict[str, Any]:
    return {
        "name": f.label,
        "words": " ".join(w for w in (f"{f.count:g}", f.colour, f.fibre) if w),
        "rgb": None if f.rgb is None else list(f.rgb),
        "size": units.size(f.size_mm),
        "holders": [{"project": f.project, "amount": ""}] if f.project else [],
        "note": f.note,
    }


def _notions(table: Table, place: Path, words: str) -> list[dict[str, Any]]:
    return [_notion(n) for n in _look_into(table, place, words).owned.notions]


def _notion(n: StashNotion) -> dict[str, Any]:
    return {
        "name": n.name,
        "owned": f"{units.amount(n.owned)} {n.unit}".strip(),
        "free": f"{units.amount(n.owned - n.promised)} {n.unit}".strip(),
        "note": n.note,
    }


def _charts(table: Table, place: Path, words: str) -> list[dict[str, Any]]:
    return [
        {"name": c.title, "words": c.where, "note": c.note}
        for c in _look_into(table, place, words).charts
    ]


def _projects(table: Table, place: Path, words: str) -> list[dict[str, Any]]:
    lacks = {p.name: p for p in projects.today(place)}
    wanted = words.casefold().split()
    return [
        {
            "name": p.name,
            "state": p.state,
            "place": p.place,
            "deadline": p.deadline,
            "ready": p.name in lacks and lacks[p.name].ready,
            "lacks": _lacks(lacks[p.name]) if p.name in lacks else None,
        }
        for p in projects.all_projects(place)
        if all(word in f"{p.name} {p.place} {p.note}".casefold() for word in wanted)
    ]


def _lacks(project: TodayProject) -> dict[str, Any]:
    lacks = project.lacks
    return {
        "known": project.known,
        "skeins": lacks.skeins,
        "fabrics": lacks.fabrics,
        "notions": lacks.notions,
        "charts": lacks.charts,
    }


def _past(table: Table, place: Path, words: str) -> list[dict[str, Any]]:
    wanted = words.casefold().split()
    entries = drawer.came_and_went(place, last=HISTORY_ROWS)
    return [
        _entry(e)
        for e in reversed(entries)
        if all(word in f"{e.thing} {e.project} {e.note} {e.kind}".casefold() for word in wanted)
    ]


def _entry(e: HistoryEntry) -> dict[str, Any]:
    return {
        "number": e.number,
        "act": int(e.number.partition(".")[0]),
        "time": e.time,
        "kind": e.kind if e.act not in ("undone", "reversed") else e.act,
        "name": e.thing,
        "owned": f"{e.owned:+g} {e.unit}".strip() if e.owned else "",
        "promised": f"{e.promised:+g} {e.unit}".strip() if e.promised else "",
        "why": ": ".join(w for w in (e.project, e.note) if w),
        "taken_back": e.reversed_by is not None,
    }


PARTS: Mapping[str, Callable[[Table, Path, str], list[dict[str, Any]]]] = {
    "threads": _threads,
    "fabrics": _fabrics,
    "notions": _notions,
    "charts": _charts,
    "projects": _projects,
    "past": _past,
}


def _json(value: object) -> Shown:
    return Shown(json.dumps(value, ensure_ascii=False).encode("utf-8", "replace"), JSON)


# ---------------------------------------------------------------------------- acts


def _add_thread(table: Table, asked: Asked) -> Mapping[str, Any]:
    palette = table.ranges.get(asked.text("range"))
    code = asked.text("code").strip()
    infos = drawer.describe_threads([code], "", palette)
    lot = asked.told.text_or_none("lot") or ""
    drawer.add_threads(stash_of(table), infos, _whole(asked, "skeins"), dye_lot=lot)
    return {"name": f"{infos[0].line} {infos[0].code}".strip()}


def _add_fabric(table: Table, asked: Asked) -> Mapping[str, Any]:
    labels = drawer.add_fabric(
        stash_of(table),
        drawer.describe_piece(
            asked.told.number("count"),
            (asked.told.number("width_cm") * CM, asked.told.number("height_cm") * CM),
            asked.told.text_or_none("colour") or "",
            read_rgb(asked.told.data.get("rgb")),
            asked.told.text_or_none("fibre") or "",
        ),
        _whole(asked, "pieces"),
    )
    return {"name": ", ".join(labels)}


def _add_notion(table: Table, asked: Asked) -> Mapping[str, Any]:
    name = asked.text("name").strip()
    unit = asked.told.text_or_none("unit") or ""
    drawer.add_notion(stash_of(table), name, asked.told.number("amount"), unit)
    return {"name": name}


def _take_back(table: Table, asked: Asked) -> Mapping[str, Any]:
    return {"number": drawer.take_back(stash_of(table), asked.told.whole("act")).number}


def _look_up(table: Table, asked: Asked) -> Shown:
    """Threads of a range by code or word, for what is to be added."""
    palette = table.ranges.get(asked.text("range"))
    found = threads.look_up(palette, str(asked.told.data.get("words", "")))
    return _json(
        [{"line": t.line, "code": t.code, "name": t.name, "rgb": list(t.rgb)} for t in found]
    )


def _lay(table: Table, asked: Asked) -> Mapping[str, Any]:
    """A paper of the drawer: its list, labels of its fabric or of projects, what to buy."""
    place, name = stash_of(table), asked.text("paper")
    if name == "list":
        paper = papers.drawer_list(drawer.look_into(place).owned)
    elif name == "fabric":
        paper = papers.fabric_labels(drawer.look_into(place).owned.fabrics)
    elif name == "shopping":
        paper = papers.shopping_sheet(drawer.shopping(place))
    elif name == "label":
        paper = papers.bag_labels(projects.bag_labels_of(place, [asked.text("project")]))
    else:
        raise ValueError(f"there is no paper {name!r}")
    return {"path": table.papers.lay(paper.content.decode()), "name": paper.name}


def _whole(asked: Asked, key: str) -> int:
    number = asked.told.whole(key)
    if not 1 <= number <= MOST_ADDED:
        raise ValueError(f"{key} is from 1 to {MOST_ADDED}")
    return number


MOST_ADDED = 1000  # of anything at a time: more is a slip of the finger

SCREEN = Screen(
    "drawer",
    _show,
    acts={
        "add_thread": _add_thread,
        "add_fabric": _add_fabric,
        "add_notion": _add_notion,
        "take_back": _take_back,
        "lay": _lay,
    },
    looks={"list": _list, "look_up": _look_up},
    about_chart=False,
)
