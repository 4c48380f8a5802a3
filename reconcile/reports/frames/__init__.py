"""Frames and fasteners' descriptions on the screen, and a page with every drawing of a frame.

Shows what is in the file and where it is from; a figure that is not given is said to be none.

- ``screen.py``: the list of frames, and one frame with its tables
- ``page.py``: the page of a frame's drawings
- ``description_screen.py``: what a fastener's description was read as

May import: ``values``, other reports; openpyxl, pandas and jinja2 inside functions only.
Tests: ``tests/reports/frames``, ``tests/commands/test_frames_command.py``.
"""
