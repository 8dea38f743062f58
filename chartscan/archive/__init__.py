"""Many pages, on one machine or on many: found, told apart, read and kept in one catalogue.

::

    finding ──► catalogue ──► engine ──► examine (in a worker) ──► Outcome ──► catalogue ──► list
    pictures,   what isn't    any        quick look, reading,                  a row a page,
    PDF pages   read yet      Executor   within limits                         chart files

Workers touch no catalogue, and the one process that books opens no picture: what lies between them
are plain values (:mod:`chartscan.archive.values`). Loading this package loads nothing heavy.
"""
