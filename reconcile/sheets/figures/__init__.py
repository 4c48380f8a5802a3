"""Single cells to text, numbers, units and dates, by strict grammars of our own; and keys of TOML files.

``text`` cleans what was typed, ``numbers`` reads exact numbers and money, ``units`` lengths and
quantities (the only user of pint), ``dates`` days. ``turned_dates`` and ``spoilt_codes`` know what a
spreadsheet program makes of a fraction or a code. ``toml`` walks a described table of keys.

What may enter: one cell or key at a time. A cell that cannot be read raises ``Unreadable`` with a code of
the catalogue; nothing here knows where the cell stands.

Tests: tests/sheets/figures.
"""
