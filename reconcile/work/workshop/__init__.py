"""What people do to set up a workshop: blank workbooks, frames made and checked, descriptions tried.

Nothing here plans a week or books; most of it needs no stock workbook.

May enter: what ``work`` may.

Tests: tests/commands/test_frames_command.py and tests/reports/writing/test_blank_books.py.
"""
