"""How much of a week goes into one file: beyond it a person no longer reads, and a browser no longer opens.

The figures are common practice, without a source; they are the one place where they stand.
"""

WHOLE_PAGE = 400
"""Jobs up to which all job cards are on one page, and in one workbook."""
BATCH_CARDS = 500
"""Job cards on one page, and in one workbook, where there are more than WHOLE_PAGE. A sheet has a page break
for each, and common programs keep some thousand of them."""
MOST_CARDS = 20_000
"""Jobs beyond which no cards are written: nobody prints them, and single days can be asked for."""
LARGE_TABLE = 200_000
"""Rows beyond which a table is written as csv beside the workbook."""
MOST_LINES = 400_000
"""Lines of jobs beyond which no returns workbook is written: a week is then closed by single days."""
SAMPLE = 2_000
"""Rows by which the columns of a longer table are sized; its rows are one line high until they are opened."""
SIZED_ROWS = 20_000
"""Rows of a sheet up to which each gets a height of its own; others are sized by whoever opens it."""
