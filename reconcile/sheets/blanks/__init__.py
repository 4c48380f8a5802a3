"""Blank workbooks and files to fill in: what stands in them, sheet by sheet.

Made from the same headings and keys that the readers know, so that what is filled in can be read.

What may enter: headings and keys of the other rooms here. How a blank is drawn is for the reports.

Tests: tests/reports/writing.
"""
