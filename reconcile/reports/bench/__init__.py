"""What the technician has at the bench: a card for each job, and the pick list, on paper or a page.

Cards are values first; page and workbook show the same ones. Bins come from ``Week.picks``.

- ``cards.py``: a job's card: joints, items to tick, agreements
- ``batches.py``: which cards go into one file
- ``shown_joints.py``: the joints of a card as pages show them
- ``desk.py``: what the cards of one week share
- ``pick_list.py``: the pick list as words and as a table
- ``page.py``: the page, to print; its templates are ``page.html``, ``joints.html`` and ``bins.html``
- ``book.py``: the workbook
- ``outputs.py``: both, for the list of what a run writes

May import: ``values``, other reports; openpyxl, pandas and jinja2 inside functions only.
Tests: ``tests/reports/bench``; a week for it: ``tests/helpers/bench_week.py``.
"""
