"""The jobs sheet: its headings, its rows as planned jobs, and a job that only asks.

A row outside the period is counted and not judged. A faulty row is set aside with all its faults, and so
are all rows of a doubled number. The words of a command line become a job by the same readers.

What may enter: an opened book, the settings, and how the period is chosen.

Tests: tests/sheets/jobs.
"""
