"""Orders from the order workbook to the shelf: lines as they stand, answers, arrivals, what hangs on a line.

What happened to an order is ``values/ledger/orders.py``; here is what is made of it, and what is read to be
booked.

May enter: ``values``. Tests: tests/plan/ordering.
"""
