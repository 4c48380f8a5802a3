"""The way in: workbooks, csv and TOML files become values and problems.

``request`` says what was asked for, ``finding`` where the files of it are, ``period`` which days it is
about, and ``inputs`` reads them all. ``accepted`` obeys the clerk's written yes, ``account`` tells what
became of every cell.

``files``, ``unseen``, ``tables``, ``figures`` and ``fasteners`` read files, sheets and cells of any kind;
``jobs``, ``stock``, ``frames``, ``settings``, ``returns`` and ``counts`` know what each sheet is about;
``edits`` writes cells back, ``blanks`` says what a blank holds. Nothing here plans.

Tests: tests/sheets.
"""
