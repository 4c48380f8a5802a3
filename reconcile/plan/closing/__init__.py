"""A week's returns to movements: what left which bin, what came back, what was received.

The file that a figure came from stands on each movement as a place.

- ``movements.py``: the movements of a week, and the sheet against the ledger
- ``overuse.py``: planned against used, week after week

May import: ``standards``, ``values``, ``plan/flows``.
Tests: ``tests/plan/closing``, ``tests/laws/test_bookkeeping.py``; a shop: ``tests/helpers/closing_shop.py``.
"""
