"""The commands: what each may be told on the command line, what it prints, and its exit status.

A file for each command, with a signature that typer makes options of, and a few lines: a request from the
words typed, a call into ``work``, the value that came back rendered by ``reports``, the exit status.
``terminal`` is how all of them print and end, ``options`` what several of them share, ``progress`` the line
that says what a long run does, ``completion`` what a shell offers after the tab key.

May enter: typer, rich (in ``progress`` alone), and all rooms below. May not enter: rules of the trade,
reading and booking; those are in ``work``. Nothing heavy is loaded before a command runs.

Tests: tests/commands.
"""
