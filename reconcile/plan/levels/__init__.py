"""Shelf levels proposed from recorded use, and what each of them would have given.

Nothing is applied by itself. Figures are estimates and are printed as such; levels are exact.

- ``usage.py``: recorded use by week
- ``usage_checks.py``: rows of use that cannot be right
- ``forecasts.py``: forecasts, and which one missed least
- ``weekly_laws.py``: how use of a week is spread
- ``service.py``: what a level gives of service and shelf
- ``search.py``: the least level that reaches the aim
- ``replay.py``: levels held against the weeks as they were
- ``proposals.py``: what is proposed for each part
- ``reasons.py``: why, or why nothing is
- ``dead_stock.py``: stock unused, and stock above its levels
- ``survey.py``: all of it for a stock

May import: ``standards``, ``values``; numpy inside functions.
Tests: ``tests/plan/levels``, ``tests/outside/test_published_forecasts.py``; speed: ``tests/bench/levels.py``.
"""
