"""Orders that are on their way: how each line stands, what hangs on it, and what is booked of it. Pure.

- ``standing.py``: all that was booked of orders, folded to lines; the sheet against the ledger
- ``hanging.py``: which jobs take from which line, and the list of what is open
- ``answering.py``: a supplier's answer held against what was placed
- ``arriving.py``: what came in, was cancelled, sent back, credited
- ``records.py``: promised against came, supplier by supplier

May import: ``standards``, ``values``, ``plan/flows``.
Tests: ``tests/plan/ordering``; the law of a line is in ``tests/laws/test_order_laws.py``.
"""
