"""What was found of a workshop's own sheets, for the screen. Renders, never computes.

May import: `values`, `reports/writing`. Tests: tests/commands/test_begin.py.
"""
