"""What comes and goes of one part in time: shelf, receipts, recoveries, needs, and from which bin.

Netting is lot for lot, day by day; a job needs its parts at the start of its day.

- ``supply.py``: demands of jobs, arrivals, and what there is of a part
- ``timeline.py``: a part's flow, its shortfall, and its shelf day by day
- ``bins.py``: which bin a part comes from: one rule for pick list and closing
- ``picks.py``: what the week takes from each bin, for whom

May import: ``standards``, ``values``.
Tests: ``tests/plan/flows``.
"""
