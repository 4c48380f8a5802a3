"""Joints drawn to scale as SVG: what is clamped, before and after.

A drawing shows what ``values.frames.sections`` says; what is not known is not drawn.

- ``joint.py``: a joint cut along its bolt, its marks and its remarks

May import: ``values``, ``reports/writing``.
Tests: ``tests/reports/drawings``, ``tests/browser``.
"""
