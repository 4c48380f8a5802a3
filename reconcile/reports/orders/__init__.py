"""Orders for suppliers: the order workbook and a file for each order that can go out as one.

What is ordered from whom is ``Week.orders``; here it is only put on paper.

- ``book.py``: the order workbook and the list of files
- ``tables.py``: summary, jobs at risk, lines of each order
- ``xml.py``: an order as a UBL 2.1 Order (OASIS)

May import: ``values``, other reports; openpyxl, pandas and jinja2 inside functions only.
Tests: ``tests/reports/orders``, with the published schema; ``tests/plan/orders/test_purchase.py``.
"""
