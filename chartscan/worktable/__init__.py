"""The worktable: the whole job on a page of one's own browser, beside the command line.

A face on ``tasks``, as ``cli`` is: parse, call, show. It answers on this machine's loopback only,
sends nothing anywhere, and decodes no picture in its own process: that is the reader's
(:mod:`chartscan.worktable.reader`), which is capped and can be killed at any time.

One request goes down one road::

    server ─► app ─► guard (may it come in?) ─► screens/… (parse, call, show) ─► templates, words
                                                   │
                     table: the shelf of charts, the reader, the keys, where the drawer lies
"""
