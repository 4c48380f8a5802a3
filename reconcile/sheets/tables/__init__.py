"""Grids to rows: headings found, rows that are none of the data left out, each cell read by its column.

Headings are known by their synonyms and by the shop's own words. Totals, notes and second tables among
the rows are told apart by what they say. Every fault of a row is kept beside it, and what is remarked on
a sheet as a whole is made once.

What may enter: grids of ``files`` and facts of ``unseen``, readers of ``figures``. The kinds of sheets
stand in the rooms that read them (jobs, stock, returns, counts); nothing here knows them.

Tests: tests/sheets/tables.
"""
