"""From a page to a chart: page, lattice, cells, classes, marks; only ``page`` opens files."""

from chartscan.reading.read import Reading, ReadSettings, read_pages

__all__ = ["ReadSettings", "Reading", "read_pages"]
