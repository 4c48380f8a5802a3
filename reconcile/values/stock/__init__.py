"""What lies on the shelf, what comes and goes, and what was counted.

Frozen values; quantities in the part's own unit, exact. A bin keeps the cell that it was read from.

- ``parts.py``: threads, bolts, parts, bins, suppliers, what is due
- ``movements.py``: movements, closings, and what a closing changes in the workbook
- ``returns.py``: what the technicians bring back from a week
- ``counting.py``: the rules of counting, count sheets and what became of them
- ``descriptions.py``: what a fastener's description says
- ``used.py``: lines of a frame that use more than planned

May import: the standard library and other values.
Tests: ``tests/ledger``, ``tests/plan/closing``, ``tests/plan/counting``, ``tests/laws``.
"""
