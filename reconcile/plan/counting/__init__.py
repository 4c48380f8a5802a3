"""Which bins to count in a week, and what becomes of each count.

What to count follows classes, short jobs and the last counts; a doubtful count is counted again.

- ``sheets.py``: classes of parts, and the lines of a count sheet
- ``verdicts.py``: what each line of a sheet that comes back says

May import: ``standards``, ``values``.
Tests: ``tests/plan/counting``, ``tests/laws/test_counting_laws.py``; cases: ``tests/helpers/count_cases.py``.
"""
