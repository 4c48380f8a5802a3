"""The way out: a planned week becomes workbooks, csv, JSON, a page or a screen. Renders, never computes.

``week`` is the report of a whole week, ``orders`` what goes to suppliers, ``bench`` what the technician works
by. ``frames``, ``levels``, ``counts`` and ``closing`` show what their names say, ``drawings`` draws a joint.
``writing`` is what all of them write with: tables, workbooks, csv, whole files, and our own words.
``outputs.py`` lists the files of a week.

May enter: ``values``; openpyxl, pandas and jinja2 inside the functions that use them. May not enter: sheets,
plan, the ledger. A figure that two reports show is worked out before either of them, and stands on a value.

Tests: tests/reports; whole workbooks and screens are in tests/commands.
"""
