"""Frames as build sheets give them, and what is worked out about their joints.

Frozen values; lengths in mm, exact. Nothing here reads a file or decides anything.

- ``frame.py``: a frame, its adjustments, joints, spacers, covers and sized parts
- ``sections.py``: a joint cut along its bolt, before and after
- ``bolt_tables.py``: what a joint asks for at each number of steps
- ``checked.py``: a frame file checked by itself, with its faults

May import: the standard library and other values.
Tests: ``tests/plan/joints``, ``tests/sheets/frames``; builders are in ``tests/helpers/workshop.py``.
"""
