"""What people do: plan a week, ask about a job, explain, close, undo, count, propose levels, show frames.

A file for each of them. A function here reads, plans and books, and returns what came of it as a value, or
raises ``Unusable``. What takes long names its stage as it goes (see ``stages``). Commands, the Python
interface and whatever comes later call these functions, so that all of them do the same thing.

``questions`` has what people ask, ``entries`` what they book into the ledger, ``ordering`` what they do with
orders, ``workshop`` what they do before there is a week to plan; the files beside them plan, and have what
the others share.

May enter: reports that write files, memory, ledger, and all rooms below. May not enter: typer, rich, the
commands, exit statuses, and words for a screen; who asked renders the value. Settings are read once a run:
see ``sheets.finding``. Heavy rooms are loaded inside the functions that need them where another function of
the file does not.

Tests: tests/work; whole runs are in tests/commands.
"""
