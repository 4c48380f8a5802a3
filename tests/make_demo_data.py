"""Writes the demonstration workshop's workbooks and the list of what is planted in them.

Run by hand from the root of the project, after a change to a table in ``tests/demo``::

    python tests/make_demo_data.py

It writes ``jobs.xlsx``, ``stock.xlsx``, its ledger and ``README.md`` into ``data_demo``; the frame files and
the settings are written by hand. Everything is invented: the workshop, its frames, its suppliers, its
figures. One seed and fixed dates make two runs give the same sheets; the ledger keeps the time of day.
"""

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

from demo.about import readme  # noqa: E402
from demo.sheets import jobs_book, saved, stock_book  # noqa: E402
from demo.usage import usage_rows  # noqa: E402
from demo.week_before import books_after  # noqa: E402


def made() -> dict[str, bytes]:
    """Every file that this script writes, by name."""
    jobs, in_jobs = jobs_book()
    bare = {"jobs.xlsx": saved(jobs), "stock.xlsx": saved(stock_book(())[0])}
    stock, in_stock = stock_book(usage_rows(bare, ROOT / "data_demo"))
    before = {"jobs.xlsx": bare["jobs.xlsx"], "stock.xlsx": saved(stock)}
    text = readme(in_jobs + in_stock)
    return {**before, **books_after(before, ROOT / "data_demo"), "README.md": text.encode()}


def main() -> None:
    for name, content in made().items():
        (ROOT / "data_demo" / name).write_bytes(content)
        print(f"{name}: {len(content)} bytes")


if __name__ == "__main__":
    main()
