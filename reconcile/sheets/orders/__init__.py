"""What comes back of orders: order workbooks as a buyer left them, suppliers' answers, what came in.

- ``written.py``: an order workbook, held against what was written there
- ``answers.py``: a workbook or csv that a supplier, or somebody for them, filled in
- ``answer_xml.py``: a UBL 2.1 OrderResponse (OASIS)
- ``arrivals.py``: a workbook or csv of what came in midweek

May import: the readers below, ``values``. Tests: tests/sheets/orders.
"""
