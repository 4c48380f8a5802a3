"""Files to grids of cells, whatever kind of workbook or csv they are.

A workbook is looked at as an archive before anything reads it: its kind, its true size, no document type,
no password. Then the fast reader reads it, in a child process where it might fall over, and gives every
sheet as a grid of plain cell values. Csv is told apart by its own marks, encoding and delimiter.

What may enter: paths and bytes of users, of any kind and however broken. Nothing here knows what a sheet
is about. What cannot be read is a ``Problem`` with a place.

Tests: tests/sheets/files.
"""
