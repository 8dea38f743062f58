"""What goes on paper: the values that labels, lists and sheets print. Nothing here computes."""

from __future__ import annotations

from dataclasses import dataclass

from chartscan.stash.usual import Rgb


@dataclass(frozen=True)
class BagThread:
    """One thread in a project's bag.

    Attributes:
        line: the maker's line, or "".
        code: the number it is asked for by.
        name: its colour name, or "".
        rgb: its colour; None where not known.
        strands: strands in the needle, each number once, smallest first.
        skeins: unopened put-ups set apart.
        part_metres: part skeins set apart, metres of put-up each, longest first.
        to_buy: put-ups that neither the bag nor the free stash holds.
        called: the code that the chart calls for where this is a stand-in, else "".
        dye_lots: the dye lots set apart, where they are known.
    """

    line: str
    code: str
    name: str
    rgb: Rgb | None
    strands: tuple[int, ...]
    skeins: int
    part_metres: tuple[float, ...]
    to_buy: int
    called: str = ""
    dye_lots: tuple[str, ...] = ()


@dataclass(frozen=True)
class BagNotion:
    """One notion in a project's bag: ``amount`` needed, ``set_apart`` in the bag, in ``unit``."""

    name: str
    unit: str
    amount: float
    set_apart: float


@dataclass(frozen=True)
class FabricLabel:
    """The label of one piece of fabric.

    Attributes:
        label: the piece's own number or name in the stash.
        count: fabric threads per inch across; ``count_down`` down where that differs.
        colour: the colour's name, or "".
        rgb: its colour; None where not known.
        fibre: cotton, linen …, or "".
        size_mm: width and height of the piece.
        project: whom it is promised to, or "".
        note: as the stitcher typed it.
    """

    label: str
    count: float
    count_down: float | None
    colour: str
    rgb: Rgb | None
    fibre: str
    size_mm: tuple[int, int]
    project: str = ""
    note: str = ""


@dataclass(frozen=True)
class BagLabel:
    """The label of a project's bag.

    Attributes:
        project: its name.
        state: planned, kitted, in work, finished or given up.
        place: which bag or box.
        charts: a line per chart: title and source (book, issue, page, folder or file).
        fabric: the fabric wanted in words ("28 count white over 2"), or "".
        cut_mm: (width, height, pieces) to cut, one entry per size.
        pieces: the pieces set apart.
        threads: one per thread, by line and code.
        notions: one per notion.
        set_apart: what is in the bag, a phrase per kind of thing.
        in_stash: what is free in the stash and would be set apart for it, likewise.
        to_buy: what neither holds, likewise. All three are empty once the work is over.
        copies: how many times it is worked.
        wished_start: ISO date, or "".
        deadline: ISO date, or "".
        note: as the stitcher typed it.
    """

    project: str
    state: str
    place: str
    charts: tuple[str, ...]
    fabric: str
    cut_mm: tuple[tuple[int, int, int], ...]
    pieces: tuple[FabricLabel, ...]
    threads: tuple[BagThread, ...]
    notions: tuple[BagNotion, ...]
    set_apart: tuple[str, ...] = ()
    in_stash: tuple[str, ...] = ()
    to_buy: tuple[str, ...] = ()
    copies: int = 1
    wished_start: str = ""
    deadline: str = ""
    note: str = ""


@dataclass(frozen=True)
class StashThread:
    """One thread of the stash list: what is owned of it, and what of that is promised.

    Attributes:
        line: the maker's line, or "".
        code: the number it is asked for by.
        name: its colour name, or "".
        rgb: its colour; None where not known.
        skeins: unopened put-ups owned.
        part_metres: part skeins owned, metres of put-up each, longest first.
        promised_skeins: unopened put-ups promised to projects.
        promised_metres: metres of part skeins promised to projects.
        dye_lots: the dye lots known, in order.
        places: the boxes or drawers that what is free lies in, in order.
        since: when the oldest of what is owned came; UTC, ISO 8601.
    """

    line: str
    code: str
    name: str
    rgb: Rgb | None
    skeins: int
    part_metres: tuple[float, ...]
    promised_skeins: int
    promised_metres: float
    dye_lots: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    since: str = ""


@dataclass(frozen=True)
class StashNotion:
    """One notion of the stash list; amounts in ``unit``."""

    name: str
    unit: str
    owned: float
    promised: float
    note: str = ""


@dataclass(frozen=True)
class StashList:
    """Everything owned, threads in order of colour, fabric by count and colour."""

    threads: tuple[StashThread, ...]
    fabrics: tuple[FabricLabel, ...]
    notions: tuple[StashNotion, ...]


@dataclass(frozen=True)
class ShoppingThread:
    """One thread to buy.

    Attributes:
        line: the maker's line, or "".
        code: the number to ask for.
        name: its colour name, or "".
        rgb: its colour; None where not known.
        skeins: whole put-ups to buy for all the projects together.
        apart: what it would be if every project bought for itself.
        price: of one put-up in the user's own currency; None where not known.
        projects: who needs it.
        discontinued: it can't be bought any more; look for a stand-in.
        dividing_saves: put-ups fewer if skeins were divided among the projects.
    """

    line: str
    code: str
    name: str
    rgb: Rgb | None
    skeins: int
    apart: int
    price: float | None
    projects: tuple[str, ...]
    discontinued: bool = False
    dividing_saves: int = 0


@dataclass(frozen=True)
class ShoppingFabric:
    """One fabric to buy.

    Attributes:
        count: fabric threads per inch.
        colour: the colour's name; "" where any will do.
        cuts: (width, height, number) in mm of the pieces wanted.
        least_mm: width and length of the least cut off the bolt that yields them all.
        price: of the least cut in the user's own currency; None where not known.
        projects: who needs it.
        meant: (width, height, project) of each piece wanted.
    """

    count: float
    colour: str
    cuts: tuple[tuple[int, int, int], ...]
    least_mm: tuple[int, int]
    price: float | None
    projects: tuple[str, ...]
    meant: tuple[tuple[int, int, str], ...] = ()


@dataclass(frozen=True)
class ShoppingOffcut:
    """Fabric that needn't be bought: ``project`` is cut from what ``after`` leaves of ``piece``."""

    project: str
    piece: str
    after: str


@dataclass(frozen=True)
class ShoppingNotion:
    """One notion to buy: ``amount`` in ``unit``; ``price`` of one unit, None where not known."""

    name: str
    unit: str
    amount: float
    price: float | None
    projects: tuple[str, ...]


@dataclass(frozen=True)
class ShoppingList:
    """One list over several projects.

    Attributes:
        projects: whom it serves, in the order they were counted.
        threads: by line and code.
        fabrics: by count and colour.
        notions: by name.
        saved: put-ups saved by buying for all of them together.
        total: price of everything that has one; None where nothing has.
        unpriced: lines of the list without a price.
        dividing_saves: put-ups fewer if skeins were divided among the projects, which the rules
            don't let.
        offcuts: fabric that is cut from what other projects on the list leave.
    """

    projects: tuple[str, ...]
    threads: tuple[ShoppingThread, ...]
    fabrics: tuple[ShoppingFabric, ...]
    notions: tuple[ShoppingNotion, ...]
    saved: int
    total: float | None
    unpriced: int
    dividing_saves: int = 0
    offcuts: tuple[ShoppingOffcut, ...] = ()
