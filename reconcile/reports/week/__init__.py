"""The planned week as a report: workbook, screen, JSON, pictures, and where each figure comes from.

Renders ``values.week.results.Week`` and computes nothing.

- ``book.py``: the report workbook
- ``tables.py, part_tables.py``: its sheets as tables
- ``folded.py``: many problems of a kind as one line
- ``screen.py``: the week and one job on 80 columns
- ``json.py``: the same as one JSON object
- ``why.py, why_order.py``: a job or a part, figure by figure
- ``charts.py``: charts in the workbook
- ``pictures.py, picture_facts.py``: drawings for pages, and what they show

May import: ``values``, other reports; openpyxl, pandas and jinja2 inside functions only.
Tests: ``tests/reports/week``, ``tests/commands/test_why_and_check.py``.
"""
