"""The commands that book: closings, counts, orders, what is written back, and a ledger begun anew.

Each is as the other commands are; what they have in common is the stock workbook that they change, and the
options that say where the new one goes.

May enter: typer, ``commands/shell``, and the rooms below ``commands``. May not enter: another command, but
for how all say what was booked, in ``close``.

Tests: tests/commands/test_close_week.py, tests/commands/test_count_command.py,
tests/commands/test_orders_command.py and tests/commands/test_ledger_lost.py.
"""
