"""What people book: a week closed, a closing written back, a shelf counted, a job held or released.

All of them read and check before anything is booked, and book all or nothing: see ``work/booking.py``.

May enter: what ``work`` may, and the files beside this room. Those may not use what is in here.

Tests: tests/work/entries; whole runs are in tests/commands.
"""
