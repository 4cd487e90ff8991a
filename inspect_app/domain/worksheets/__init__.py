"""Worksheets of the workbench, one module for each topic; `all_worksheets.py` lists them."""
