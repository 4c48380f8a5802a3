"""Proposed shelf levels: screen, workbook and JSON.

Estimates are rounded and said to be estimates; levels are exact.

- ``screen.py``: the proposals on 80 columns
- ``tables.py``: levels, services, dead and dear stock as tables
- ``trade.py``: service against money: a table, and a drawing
- ``replay_screen.py``: a replay, and who serves better
- ``book.py``: the workbook
- ``json.py``: the same as one JSON object

May import: ``values``, other reports; openpyxl, pandas and jinja2 inside functions only.
Tests: ``tests/commands/test_levels_command.py``, ``tests/commands/test_levels_together.py``.
"""
