"""chartscan: from the picture of a counted-thread chart to a project that is kitted up.

The road runs one way: ``reading`` makes a :class:`~chartscan.chart.Chart` of a page,
``palette`` finds a thread for each of its colours, ``yardage`` says how much of each,
``stash`` knows what is owned and promised, ``report`` puts it on paper, ``cli`` calls them.
"""

__version__ = "0.1.0"
