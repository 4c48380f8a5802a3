"""What the ledger keeps beside movements: jobs as booked, checks, holds, orders, the workbook's mark.

Frozen values; ``ledger`` writes and reads them, ``work`` makes them.

May enter: ``values``. Tests: tests/ledger/test_jobs_holds_orders.py.
"""
