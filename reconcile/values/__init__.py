"""What the trade talks about: small frozen values, standard library only, no I/O.

``stock``, ``frames``, ``week`` and ``ledger`` hold the values of each; beside them are what all rooms use:
``measure`` for lengths and quantities, ``days`` for the calendar, ``problem`` and ``catalogue`` for whatever
is wrong, ``settings`` and ``rules`` for what a workshop may choose, ``words`` for how names are compared.

Lengths are mm and quantities are in the part's own unit, both exact; money is decimal. A fact stays a value
until it is rendered: a source, a place, a set of files. Values know no headings, no JSON and no screen.

May enter: the standard library. May not enter: any other room.

Tests: tests/values for measures, days and codes; most values are made and looked at in tests/plan and
tests/sheets.
"""
