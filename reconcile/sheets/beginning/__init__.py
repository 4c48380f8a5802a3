"""A workshop's own sheets looked at for the first time: which is which, which column is ours, what to set.

- ``words.py``: headings and names of sheets in other tongues
- ``nature.py``: what the cells of a column are by their own nature
- ``looking.py``: the sheets of a folder, each with its columns matched
- ``settling.py``: what is left open asked, and what comes of it as settings
- ``text.py``: the settings file, and how it differs from one that is there

May enter: the rooms that read sheets. May not enter: planning, and words for a screen.
Tests: tests/sheets/beginning, tests/commands/test_begin.py; books: tests/cases/beginning.
"""
