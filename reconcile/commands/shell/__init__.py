"""What every command has to do with the shell it is called from.

``terminal`` is how all of them print and end: streams, exit statuses, what becomes of whatever goes wrong.
``options`` has the options that several of them share, ``progress`` the line that says what a long run does,
``completion`` what a shell offers after the tab key.

May enter: typer, rich (in ``progress`` alone), and the rooms below ``commands``. May not enter: a command.

Tests: tests/commands/test_quiet_and_progress.py, tests/commands/test_completion.py,
tests/commands/test_precedence.py and tests/commands/test_stopped.py.
"""
