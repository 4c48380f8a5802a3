"""Shelf levels proposed from recorded use, and what each of them would have given.

Nothing is applied by itself. Figures are estimates and are printed as such; levels are exact.

- ``usage.py``: recorded use by week
- ``usage_checks.py``: rows of use, sums and levels that a person must look at
- ``record.py``: what a part's record says: how often it is used, how surely, and in which sizes
- ``pools.py``: what parts of its kind add
- ``forecasts.py``: forecasts, and which one missed least
- ``weekly_laws.py``: how use of a week is spread, and that of a lead time
- ``service.py``: what a level gives of service and shelf
- ``search.py``: every level of a part, and the least that reaches the aim
- ``studies.py``: a part ready to be worked out, or what it would take
- ``replay.py``: levels held against the weeks as they were
- ``proposals.py``: what is proposed for each part
- ``reasons.py``: why, or why nothing is
- ``dead_stock.py``: stock unused, and stock above its levels
- ``survey.py``: all of it for a stock

Levels that are set together, where money serves most, are in ``money``.

May import: ``standards``, ``values``; numpy inside functions.
Tests: ``tests/plan/levels``, ``tests/laws/test_level_laws.py``, ``tests/outside/test_open_replays.py``;
speed: ``tests/bench/levels.py``.
"""
