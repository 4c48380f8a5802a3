"""How a sheet comes onto paper, A4 and Letter alike: what is printed of it, how small, and where pages end.

May enter: the standard library. May not enter: workbooks and their cells; those are in `writing`.

Tests: tests/reports/paper.
"""
