"""What a buyer and a stores clerk do with orders: list, place, answer, cancel, receive, send back.

Each use case reads, plans and books, and gives back a value. Everything that is booked goes the way of a
closing (``work/booking.py``): the ledger's events and the changed stock workbook, both or neither.

- ``beside.py``: what every booking does for orders
- ``listing.py``: all that is open and what hangs on it
- ``books.py``: order workbooks found, read, and kept from being written over
- ``placing.py``: a written order is placed
- ``answering.py``: a supplier's answer is shown and booked
- ``arriving.py``: what came in, is given up, sent back or credited

May enter: all rooms below ``work``. Tests: tests/work/ordering, tests/commands/test_orders_command.py.
"""
