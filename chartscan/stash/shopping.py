"""One shopping list over any number of projects, and booking what was bought of it."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from chartscan.errors import StashError
from chartscan.plaintext import code_key, text_key, thread_order
from chartscan.remedies import Remedy
from chartscan.stash.allotment import EMPTY, Supply, buy_for_all
from chartscan.stash.demand import load_free as load_free_threads
from chartscan.stash.demand import load_held as load_held_threads
from chartscan.stash.demand import load_threads
from chartscan.stash.entries import acting
from chartscan.stash.fabric_plan import (
    FabricFit,
    fabric_needs,
    fit_fabric,
    left_over,
    load_free,
    load_held,
)
from chartscan.stash.fabrics import Piece, add_piece
from chartscan.stash.ledger import Ledger
from chartscan.stash.needs import FabricNeed
from chartscan.stash.notions import SCALE, NotionInfo, add_notion
from chartscan.stash.paper import (
    ShoppingFabric,
    ShoppingList,
    ShoppingNotion,
    ShoppingOffcut,
    ShoppingThread,
)
from chartscan.stash.projects import (
    find_project,
)
from chartscan.stash.rules import Rules, load_rules
from chartscan.stash.threads import CENTS, ThreadInfo, add_thread
from chartscan.stash.usual import DEFAULT_PUTUP_MM


@dataclass(frozen=True)
class ShoppingSettings:
    """How fabric is bought.

    Attributes:
        bolt_mm: width of the bolt that pieces are cut from; 1.4 m is common practice, no source.
    """

    bolt_mm: int = 1400


def make_list(
    ledger: Ledger, names: Sequence[str] = (), settings: ShoppingSettings = ShoppingSettings()
) -> ShoppingList:
    """What to buy so that all of some projects can be kitted, in turn and the fabric cut at once.

    Args:
        ledger: an open ledger.
        names: the projects; every planned one, and those in work that need more, where empty.
            They are counted by deadline.
        settings: how fabric is bought.

    Raises:
        StashError: no such project.
    """
    wanted = _wanted(ledger, names)
    wishes = _threads(ledger, wanted)
    threads = [thread for thread in wishes if thread.skeins]
    fits = _fabric_fits(ledger, wanted)
    fabrics = _fabrics(ledger, fits, settings)
    notions = _notions(ledger, wanted)
    priced = (
        *(None if t.price is None else t.skeins * t.price for t in threads),
        *(f.price for f in fabrics),
        *(None if n.price is None else n.amount * n.price for n in notions),
    )
    known = [price for price in priced if price is not None]
    return ShoppingList(
        projects=tuple(project.name for project in wanted),
        threads=tuple(threads),
        fabrics=tuple(fabrics),
        notions=tuple(notions),
        saved=sum(t.apart - t.skeins for t in wishes),
        dividing_saves=sum(t.dividing_saves for t in wishes),
        offcuts=tuple(
            ShoppingOffcut(name, piece, after) for name, fit in fits for piece, after in fit.offcuts
        ),
        total=round(sum(known), 2) if known else None,
        unpriced=len(priced) - len(known),
    )


@dataclass(frozen=True)
class _Wanted:
    """A project that is shopped for: its number and name."""

    id: int
    name: str


def _wanted(ledger: Ledger, names: Sequence[str]) -> list[_Wanted]:
    rows = ledger.rows(
        "SELECT id, name FROM projects WHERE CASE WHEN :all THEN state IN ('planned', 'in work')"
        " ELSE name IN (SELECT value FROM json_each(:names)) END"
        " ORDER BY deadline = '', deadline, wished_start = '', wished_start, name",
        {"all": not names, "names": json.dumps([find_project(ledger, n).name for n in names])},
    )
    return [_Wanted(*row) for row in rows]


def _threads(ledger: Ledger, projects: Sequence[_Wanted]) -> list[ShoppingThread]:
    """What is short if each project buys for itself; 0 skeins where sharing saves them all."""
    rules = load_rules(ledger)
    turn = {project.id: place for place, project in enumerate(projects)}
    short = _short_threads(ledger, list(turn), rules)
    threads, free = load_threads(ledger, short), load_free_threads(ledger, short)
    held, _ = load_held_threads(ledger, short)
    by_thread: dict[int, list[tuple[int, int, Supply]]] = defaultdict(list)
    for number, project, length in ledger.rows(
        "SELECT thread, project, length_mm FROM demands"
        " WHERE project IN (SELECT value FROM json_each(?))"
        " AND thread IN (SELECT value FROM json_each(?))",
        (json.dumps(list(turn)), json.dumps(short)),
    ):
        by_thread[number].append((turn[project], length, held.get((project, number), EMPTY)))
    found: list[ShoppingThread] = []
    for number, thread in threads.items():
        needs = sorted(by_thread[number], key=lambda need: need[0])
        joint = buy_for_all(
            [need[1:] for need in needs], thread.putup_mm, free.get(number, EMPTY), rules
        )
        if joint.apart:
            shared = joint.skeins
            if len(needs) > 1 and not rules.share_skeins:
                shared = buy_for_all(
                    [need[1:] for need in needs],
                    thread.putup_mm,
                    free.get(number, EMPTY),
                    replace(rules, share_skeins=True),
                ).skeins
            found.append(
                ShoppingThread(
                    line=thread.line,
                    code=thread.code,
                    name=thread.name,
                    rgb=thread.rgb,
                    skeins=joint.skeins,
                    apart=joint.apart,
                    price=None if thread.price is None else thread.price / CENTS,
                    projects=tuple(projects[place].name for place, _, _ in needs),
                    discontinued=thread.discontinued,
                    dividing_saves=joint.skeins - shared,
                )
            )
    return sorted(found, key=lambda thread: thread_order(thread.line, thread.code))


def _short_threads(ledger: Ledger, projects: Sequence[int], rules: Rules) -> list[int]:
    """Threads whose unopened skeins may not do for all; all of them by a rule that isn't a sum."""
    no_sum = rules.same_dye_lot or rules.fresh_unless_more_than > 0
    rows = ledger.rows(
        "WITH wanted AS (SELECT d.thread, count(*) AS projects, min(d.length_mm) AS length_mm,"
        f"  sum((d.length_mm + coalesce(t.putup_mm, {DEFAULT_PUTUP_MM}) - 1)"
        f"  / coalesce(t.putup_mm, {DEFAULT_PUTUP_MM})) AS skeins,"
        f"  min(coalesce(t.putup_mm, {DEFAULT_PUTUP_MM})) AS putup_mm"
        "  FROM demands d JOIN threads t ON t.id = d.thread"
        "  WHERE d.project IN (SELECT value FROM json_each(:projects)) GROUP BY d.thread)"
        " SELECT w.thread FROM wanted w LEFT JOIN balances b ON b.thread = w.thread"
        "  AND b.owned > b.promised GROUP BY w.thread HAVING :no_sum OR :keep + CASE"
        "  WHEN projects = 1 THEN (length_mm - total(CASE WHEN b.kind = 'part'"
        "   AND b.owned - b.promised >= :smallest THEN b.owned - b.promised END)) * 1.0 / putup_mm"
        "  ELSE skeins END > total(CASE b.kind WHEN 'skein' THEN b.owned - b.promised END)",
        {
            "projects": json.dumps(projects),
            "no_sum": no_sum or not rules.parts_count,
            "keep": rules.keep_back,
            "smallest": rules.smallest_part_mm,
        },
    )
    return [row["thread"] for row in rows]


# ---------------------------------------------------------------------------- fabric


def _fabric_fits(ledger: Ledger, projects: Sequence[_Wanted]) -> list[tuple[str, FabricFit]]:
    """How each need of each project, by its name, is met; what one leaves serves the next."""
    numbers = [project.id for project in projects]
    needs = fabric_needs(ledger, numbers)
    held = load_held(ledger, numbers)
    free = load_free(ledger, (need for theirs in needs.values() for need in theirs))
    free.offcuts.extend(left_over(ledger))
    return [
        (project.name, fit)
        for project in projects
        for fit in fit_fabric(
            project.id,
            needs[project.id],
            held[project.id],
            free,
            name=project.name,
            leaves=True,
        )
    ]


def _fabrics(
    ledger: Ledger, fits: Iterable[tuple[str, FabricFit]], settings: ShoppingSettings
) -> list[ShoppingFabric]:
    lacking: dict[tuple[float, str], list[tuple[FabricNeed, str]]] = defaultdict(list)
    for name, fit in fits:
        if fit.lack:
            key = (fit.need.count, text_key(fit.need.colour))
            lacking[key].append((replace(fit.need, pieces=fit.lack), name))
    return [_fabric(ledger, lacking[key], settings) for key in sorted(lacking)]


def _fabric(
    ledger: Ledger, wanted: Sequence[tuple[FabricNeed, str]], settings: ShoppingSettings
) -> ShoppingFabric:
    first = wanted[0][0]
    meant = tuple((*grid_cut(need, settings.bolt_mm), name) for need, name in wanted)
    cuts = Counter((width, height) for width, height, _ in meant)
    sizes = tuple((w, h, n) for (w, h), n in sorted(cuts.items(), reverse=True))
    least = least_cut(sizes, settings.bolt_mm)
    per_m2 = ledger.value(
        "SELECT price_per_m2 FROM fabric_prices WHERE count = ? AND text_key(colour) = text_key(?)",
        (first.count, first.colour),
    )
    return ShoppingFabric(
        count=first.count,
        colour=first.colour,
        cuts=sizes,
        least_mm=least,
        price=None if per_m2 is None else round(per_m2 * least[0] * least[1] / 1e6) / CENTS,
        projects=tuple(dict.fromkeys(name for _, name in wanted)),
        meant=meant,
    )


def grid_cut(need: FabricNeed, bolt_mm: int) -> tuple[int, int]:
    """Width and height of the least piece that yields all of a need, as nearly square as may be."""
    best: tuple[int, int, int, int] | None = None
    for width, height in ((need.width_mm, need.height_mm), (need.height_mm, need.width_mm)):
        for across in range(1, need.pieces + 1):
            if across > 1 and across * width > bolt_mm:
                break
            w, h = across * width, -(-need.pieces // across) * height
            best = min(filter(None, (best, (w * h, abs(w - h), w, h))))
    assert best is not None  # a need has at least one piece
    return best[2], best[3]


def least_cut(cuts: Iterable[tuple[int, int, int]], bolt_mm: int) -> tuple[int, int]:
    """Width and length of one cut off a bolt that yields all of ``cuts`` (width, height, pieces).

    Pieces lie in rows across the bolt, the deepest rows first, each piece turned so that the row
    stays shallow; a piece wider than the bolt makes the cut as wide as itself.
    """
    pieces = sorted(
        ((max(w, h), min(w, h)) for w, h, n in cuts for _ in range(n)),
        key=lambda p: (-p[1], -p[0]),
    )
    bolt = max([bolt_mm, *(long for long, _ in pieces)])
    rows: list[list[int]] = []  # (width used, depth)
    for long, short in pieces:
        row = next((r for r in rows if r[0] + long <= bolt), None)
        if row is None:
            rows.append([long, short])
        else:
            row[0] += long
    return max(row[0] for row in rows), sum(row[1] for row in rows)


# ---------------------------------------------------------------------------- notions


def _notions(ledger: Ledger, projects: Sequence[_Wanted]) -> list[ShoppingNotion]:
    names = {project.id: project.name for project in projects}
    wanted: dict[int, int] = defaultdict(int)
    needed_by: dict[int, list[str]] = defaultdict(list)
    for row in ledger.rows(
        "SELECT nn.notion, nn.project, sum(nn.amount) - coalesce(h.amount, 0) AS rest"
        " FROM notion_needs nn LEFT JOIN holdings h ON h.project = nn.project"
        "  AND h.stock = nn.notion GROUP BY nn.notion, nn.project"
    ):
        if row["project"] in names and row["rest"] > 0:
            wanted[row["notion"]] += row["rest"]
            needed_by[row["notion"]].append(names[row["project"]])
    found: list[ShoppingNotion] = []
    for row in ledger.rows(
        "SELECT n.*, b.owned - b.promised AS free FROM notions n"
        " JOIN balances b ON b.stock = n.stock ORDER BY n.name, n.unit"
    ):
        short = wanted.get(row["stock"], 0) - row["free"]
        if row["stock"] in wanted and short > 0:
            price = None if row["price"] is None else row["price"] / CENTS
            projects_of = tuple(needed_by[row["stock"]])
            found.append(
                ShoppingNotion(row["name"], row["unit"], short / SCALE, price, projects_of)
            )
    return found


# ---------------------------------------------------------------------------- bought


def narrow(shopping: ShoppingList, only: Mapping[str, float | None]) -> ShoppingList:
    """The part of a list that was bought.

    Args:
        shopping: the list.
        only: thread code ("LINE CODE" or "CODE"), notion name or "fabric" → amount bought, or
            None for all that the list says.

    Raises:
        StashError: something bought isn't on the list, or a code is on it in two lines.
    """
    threads = {_key(t): t for t in shopping.threads}
    notions = {text_key(n.name): n for n in shopping.notions}
    got_threads: list[ShoppingThread] = []
    got_notions: list[ShoppingNotion] = []
    for name, amount in only.items():
        wanted = code_key(name)
        hits = [t for key, t in threads.items() if wanted in (code_key(key), code_key(t.code))]
        if len(hits) == 1:
            if amount is not None and amount != int(amount):
                raise StashError(f"{name}={amount:g}: skeins are bought whole", Remedy.ADD_OPENED)
            got_threads.append(
                replace(hits[0], skeins=hits[0].skeins if amount is None else int(amount))
            )
        elif hits:
            raise StashError(f"{name} is on the list in several lines; write LINE CODE")
        elif text_key(name) in notions:
            notion = notions[text_key(name)]
            got = notion.amount if amount is None else amount
            got_notions.append(replace(notion, amount=got))
        elif text_key(name) != "fabric":
            raise StashError(f"{name!r} isn't on the list", Remedy.ADD_IT)
    return replace(
        shopping,
        threads=tuple(got_threads),
        notions=tuple(got_notions),
        fabrics=shopping.fabrics if any(text_key(name) == "fabric" for name in only) else (),
    )


def _key(thread: ShoppingThread) -> str:
    return f"{thread.line} {thread.code}".strip()


def book_bought(ledger: Ledger, shopping: ShoppingList, note: str = "") -> int:
    """Book a list, or the part of it that was bought, in one act; the act's number."""
    if not (shopping.threads or shopping.fabrics or shopping.notions):
        raise StashError("there is nothing to buy; nothing was booked")
    with acting(ledger, "bought", note=note) as act:
        for thread in shopping.threads:
            if thread.skeins:
                add_thread(act, ThreadInfo(thread.code, thread.line), skeins=thread.skeins)
        for fabric in shopping.fabrics:
            for width, height, name in fabric.meant:
                project = find_project(ledger, name).id
                piece = Piece(fabric.count, width, height, colour=fabric.colour, meant_for=project)
                add_piece(act, piece)
        for notion in shopping.notions:
            add_notion(act, NotionInfo(notion.name, notion.unit), notion.amount)
        return act.number
