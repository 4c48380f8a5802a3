"""Cells of an xlsx or xlsm workbook changed in its own XML; nothing else in it changes.

``workbook`` is the one editor of workbooks. ``stock`` says what changes when a week is closed or a count
is booked, ``job_rows`` which row is added when a job is held.

What may enter: the bytes of a workbook and the changes as values. What cannot be changed is refused in
words; the file itself is never written to here.

Tests: tests/sheets/edits.
"""
