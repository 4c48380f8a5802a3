"""Which jobs get a complete kit, what the others miss, and when they could be done.

The choice is made by ``plan/solver``; this room puts jobs into its numbers and back.

- ``bundles.py``: jobs as bundles, and how each is served
- ``verdicts.py``: complete, waits or short; what is missing, what is awaited, the earliest day

May import: ``standards``, ``values``, ``plan/flows``, ``plan/solver``.
Tests: ``tests/plan/kits``, ``tests/laws/test_promises.py``.
"""
