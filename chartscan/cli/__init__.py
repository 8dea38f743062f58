"""The command line: each module holds a group of commands that parse, call and print.

Nothing is computed in here. Command modules import the wings inside their functions, so that
``chartscan --help`` loads click and nothing else.
"""
