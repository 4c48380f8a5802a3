"""The returns workbook that a week is closed with, and the ledger on the screen.

Cells to fill in are blank; a blank row of a job that is done means as planned.

- ``returns_book.py``: jobs done, lines, deliveries
- ``ledger_screen.py``: a part's card and the closings, as text and JSON

May import: ``values``, other reports; openpyxl, pandas and jinja2 inside functions only.
Tests: ``tests/commands/test_close_week.py``; a shop to close: ``tests/helpers/closing_shop.py``.
"""
