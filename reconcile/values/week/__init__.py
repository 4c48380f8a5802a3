"""A planned week: the jobs that go in and everything that every report says of it.

``results.Week`` is the whole answer. What is computed once stands here as a value, never as words.

- ``jobs.py``: planned jobs, their steps, lines and choices
- ``results.py``: inputs, kits, shortfalls, sources, and the week itself
- ``purchase.py``: an order for each supplier and currency
- ``picks.py``: what is taken from which bin
- ``buying.py``: what buying costs, and the plans that were looked at
- ``levels.py``: shelf levels as proposed from use

May import: the standard library and other values.
Tests: ``tests/plan/orders``, ``tests/plan/flows``; a hand-made week is in ``tests/helpers/weeks.py``.
"""
