"""What the fast reader hides of a workbook: errors, formulas without a result, hidden rows, merged cells.

One module for each kind of file (xlsx, xlsb, xls, ods) reads these facts out of the file itself, together
with the number formats by which a cell is shown otherwise than it is read, and the count of filled cells.

What may enter: books that ``files`` has opened. Nothing here knows what a sheet is about. A file that
cannot be followed says so; its values are read all the same.

Tests: tests/sheets/unseen.
"""
