"""Count sheets to fill in, and what became of them.

A blind sheet shows no book figure; what comes back is judged in ``plan/counting``.

- ``book.py``: the sheet as a workbook
- ``screen.py``: what is on it, and each line's verdict

May import: ``values``, other reports; openpyxl, pandas and jinja2 inside functions only.
Tests: ``tests/reports/counts``, ``tests/commands/test_count_command.py``.
"""
