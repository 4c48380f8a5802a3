"""Holds: a job that was asked about keeps its kit for somebody, until it has a row or is released.

- ``holding.py``: hold a job, and give it its row in the jobs workbook
- ``ending.py``: release one, and note which a row has overtaken

May enter: as for ``work``; ``work`` books through ``ending`` alone.
Tests: tests/commands/test_check_over_weeks.py; laws over months are in tests/laws/test_months.py.
"""
