"""Marks where each class is a picture: over symbols, and on pages that were scanned.

The road, a file a stage (:mod:`~chartscan.reading.marks.templates.road` is its recipe)::

    flat ─► candidates ─► classes ─► labels ─► painted ─► (inks, knots, runs) ─► dissolve
            cells that    which of    the cells   the page     what is drawn       classes that
            look alike    them are    by them     less marks   over it             were marks
    ─► labels, once more under the lines ─► leftover ─► verdict ─► result
"""

from chartscan.reading.marks.templates.road import search_by_templates

__all__ = ["search_by_templates"]
