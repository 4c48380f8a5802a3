"""A count sheet read back: what was counted in each bin, what was not, and what nobody can use.

A blank is no zero. A row that is set aside keeps the book of its bin as it is.

What may enter: a workbook that was written for a week, the stock as it was read, and the settings.

Tests: tests/sheets/counts.
"""
