"""What a person does, a function each; the command line and the worktable are two faces on it.

::

    charts    open a chart or read one, count it, hold it against its printed key
    corrections answer a question, correct a chart, read it again with all that was told
    threads   open a thread range, say what is at hand, choose threads, look one up, blend
    substitutes a list of one range in another, and the stitcher's own table of substitutes
    fabric    choose a fabric, work out sizes and thread, compare fabrics, find a piece that fits
    picks     what a person picks for a class, held on to when numbers of classes move
    kit       chart, threads and fabric made into a kit
    papers    everything that is printed or saved, as named bytes
    drawer    look into the stash, add to it, take back, what to buy
    projects  what can be started today, what one needs, its label
    archive   read folders full of pages into a catalogue
    catalogue find charts in one: by size, colours, and what is at hand

A task takes plain values and files and returns plain values; it prints nothing, asks nothing and
knows neither click nor HTTP. What goes wrong is raised from the family in ``errors.py``. A task is
used by both faces; one that isn't says why in a line "Only …:" of its docstring, which a test
holds.
"""
