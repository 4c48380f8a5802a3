"""The commands: what each may be told on the command line, what it prints, and its exit status.

A file for each command, with a signature that typer makes options of, and a few lines: a request from the
words typed, a call into ``work``, the value that came back rendered by ``reports``, the exit status. What
they share of the shell (options, streams, progress, completion) is in ``shell``.

May enter: typer and all rooms below. May not enter: rules of the trade, reading and booking; those are in
``work``. Nothing heavy is loaded before a command runs.

Tests: tests/commands.
"""
