"""A frame's joints worked out by themselves: what they ask for, and what is clamped.

Every figure comes from the frame file; nothing is assumed that it does not say.

- ``bolt_tables.py``: bolt, grip and window of each joint at each number of steps
- ``sections.py``: joints of a job cut along the bolt, before and after

May import: ``standards``, ``values``, ``plan/needs``, ``plan/kits``.
Tests: ``tests/plan/joints``, with the arithmetic worked by hand.
"""
