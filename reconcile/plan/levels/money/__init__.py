"""Levels of all parts together: where money on the shelf serves most.

Numbers only: a part is a ladder of reorder points with what each costs and gives.

- ``marginal.py``: need met, part by part: the best next step of all parts, again and again
- ``kits.py``: whole kits: what a part gives hangs on the other parts of its jobs
- ``plain.py``: the plain rule that proposals are held against
- ``shelf.py``: which measure, how much money, and the curve of service against money

May import: ``values``, ``plan/levels`` but proposals; numpy inside functions.
Tests: ``tests/plan/levels/money``, ``tests/outside/test_published_allocation.py``.
"""
