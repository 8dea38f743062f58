"""Charts by conditions: the catalogue finds what a look at each of them would."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chartscan.archive import booking
from chartscan.archive.catalogue import Catalogue, begun
from chartscan.archive.finding import Found
from chartscan.archive.looking import Conditions, charts, tally
from chartscan.archive.values import Colour, Facts, Leaf, Outcome

COLOURS = tuple(Colour((40 * n, 255 - 40 * n, 99), None, 60 - n) for n in range(6))


def _booked(catalogue: Catalogue, number: int, facts: Facts) -> None:
    digest = hashlib.sha256(str(number).encode()).hexdigest()
    path = f"/shelf/year-{number % 3}/page-{number:03}.png"
    booking.book_file(catalogue, Found(path, digest, 1, 1))
    booking.book(catalogue, Outcome(Leaf(path, digest), "chart", facts=facts, chart="{}"), "1")


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Catalogue, list[Facts]]]:
    """Forty charts of all sorts, and the facts that they were booked with."""
    folder = tmp_path_factory.mktemp("many")
    made = [
        Facts(
            columns=10 + 7 * n % 90,
            rows=10 + 11 * n % 80,
            stitches=50 * n,
            colours=COLOURS[: n % 6 + 1],
            doubtful=n % 5,
            questions=("same?", "ground?")[: n % 3],
            pitch_px=(12.5, 12.25),
        )
        for n in range(40)
    ]
    with begun(folder / "c") as catalogue:
        booking.begin_run(catalogue)
        for number, facts in enumerate(made):
            _booked(catalogue, number, facts)
        yield catalogue, made


def test_all_that_was_booked_comes_back(many: tuple[Catalogue, list[Facts]]) -> None:
    catalogue, made = many
    entries = list(charts(catalogue))
    kept = {
        int(e.path[-7:-4]): Facts(
            *(e.columns, e.rows, e.stitches, e.colours, e.marks, e.doubtful),
            questions=e.questions,
            pitch_px=e.pitch_px,
        )
        for e in entries
    }
    assert kept == dict(enumerate(made))
    assert tally(catalogue) == {"chart": 40}


ENDS = st.one_of(st.none(), st.integers(0, 2500))
RANGES = st.tuples(ENDS, ENDS)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(
    columns=RANGES,
    rows=RANGES,
    stitches=RANGES,
    colours=st.tuples(st.integers(0, 7), st.integers(0, 7)),
    doubtful=st.one_of(st.none(), st.floats(0, 0.02)),
    within=st.sampled_from([None, "year-1", "page-00", "nowhere"]),
)
def test_conditions_mean_what_they_say(
    many: tuple[Catalogue, list[Facts]],
    columns: tuple[int | None, int | None],
    rows: tuple[int | None, int | None],
    stitches: tuple[int | None, int | None],
    colours: tuple[int | None, int | None],
    doubtful: float | None,
    within: str | None,
) -> None:
    catalogue, made = many
    wanted = Conditions(columns, rows, stitches, colours, doubtful, within)

    def meets(number: int, facts: Facts) -> bool:
        asked = (
            (facts.columns, columns),
            (facts.rows, rows),
            (facts.stitches, stitches),
            (len(facts.colours), colours),
        )
        return (
            all((a is None or n >= a) and (b is None or n <= b) for n, (a, b) in asked)
            and (doubtful is None or facts.doubtful <= doubtful * facts.columns * facts.rows)
            and (within is None or within in f"/shelf/year-{number % 3}/page-{number:03}.png")
        )

    found = [int(entry.path[-7:-4]) for entry in charts(catalogue, wanted)]
    assert sorted(found) == [n for n, facts in enumerate(made) if meets(n, facts)]


def test_a_page_booked_again_takes_the_place_of_what_was_there(tmp_path: Path) -> None:
    with begun(tmp_path / "c") as catalogue:
        booking.begin_run(catalogue)
        _booked(catalogue, 1, Facts(10, 10, 5, COLOURS[:2], questions=("same?",)))
        _booked(catalogue, 1, Facts(12, 10, 6, COLOURS[:1]))
        (entry,) = charts(catalogue)
        assert (entry.columns, entry.colours, entry.questions) == (12, COLOURS[:1], ())
