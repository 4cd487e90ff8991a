"""Benchmarks: each sets a piece of the program against a plain yardstick, in the same run on the same machine.

`make bench` prints the table. A ratio tells what a promise costs (a check, a journal row, a layout), and survives a
change of machine better than seconds do. Nothing here passes or fails.
"""
