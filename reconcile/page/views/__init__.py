"""What people open: a function for each address, from what was asked to a page or to what was done.

Each calls a use case of ``work`` and hands the value that came back to a template, with words of ``reports``.
Whoever does something says first what it will do; what is refused is shown with all that was typed.

May enter: as ``page``. May not enter: another of these files, but for ``cards`` and ``spoken``.

Tests: tests/page.
"""
