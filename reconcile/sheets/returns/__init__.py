"""The returns workbook, filled in by a technician: rows to values, and every fault of every row.

Nothing of it may be set aside, for what is not read is not booked.

What may enter: a workbook that was written for a week, the stock as it was read, and the settings.

Tests: tests/commands/test_close_week.py.
"""
