"""From a job to what it needs: steps on each side, lines, and the parts that may serve each line.

Jobs of one kind are worked out once; what is said of a kind names each job's own cells.

- ``lines.py``: steps, sides and lines of one chair
- ``choices.py``: stock bolts and spacers that serve a line, best first
- ``demands.py``: each kind of job exploded once; jobs that cannot be planned are set aside

May import: ``standards``, ``values``, ``plan/flows``.
Tests: ``tests/plan/needs``; the law of explosion is in ``tests/laws``.
"""
