"""How anything is written: tables, workbooks, csv, whole files, and our own words.

Knows no command. Files are written whole or not at all, and never over an input.

- ``wording.py, text.py, json_text.py``: words, wrapped lines, JSON values
- ``grid.py, widths.py``: tables, and how wide their columns are
- ``workbook.py, styles.py, rows_xml.py``: tables as sheets of a workbook
- ``blank_books.py``: workbooks to fill in
- ``csv_files.py``: tables as csv
- ``files.py, file_links.py``: writing whole, and links to the inputs' cells
- ``catalogue_page.py``: the page of all problems

May import: ``values``, other reports; openpyxl, pandas and jinja2 inside functions only.
Tests: ``tests/reports/writing``.
"""
