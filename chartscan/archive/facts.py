"""What is kept of a chart, worked out where it was read."""

from __future__ import annotations

from chartscan.archive.values import Colour, Facts
from chartscan.chart import Chart
from chartscan.reading.lattice.model import Lattice


def facts_of(chart: Chart, lattice: Lattice | None = None) -> Facts:
    """What a catalogue keeps of ``chart``; ``lattice`` is how its grid lies on the page."""
    counted = zip(chart.classes, chart.counts(), strict=True)
    colours = [
        Colour(entry.rgb, entry.symbol, int(count))
        for entry, count in counted
        if entry.kind == "stitch" and count
    ]
    across, down = lattice.pitch if lattice is not None else (0.0, 0.0)
    return Facts(
        columns=chart.columns,
        rows=chart.rows,
        stitches=chart.stitches,
        colours=tuple(sorted(colours, key=lambda colour: -colour.stitches)),
        marks=len(chart.parts) + len(chart.lines) + len(chart.knots),
        doubtful=len(chart.doubtful),
        questions=tuple(question.text for question in chart.questions),
        pitch_px=(float(across), float(down)),
    )
