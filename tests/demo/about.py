# ruff: noqa: E501 (tables are read across)
"""The words of the demonstration's README, around the list of what is planted."""

from demo.sheets import Planted
from demo.tables import WORKSHOP

HEAD = f"""# The demonstration workshop

{WORKSHOP} does not exist. Its frames, build sheets, suppliers, torques and prices are invented,
and so is every job. Use no figure of them on a chair. Today is taken as 2026-11-27; the week to plan is 2026-W49.

    reconcile week data_demo --week 2026-W49 --today 2026-11-27

| file | what it holds |
|---|---|
| `reconcile.toml` | settings: currency, working days, one holiday, the workshop's own word for a bin |
| `frames/NQ-T1.toml` | tilt frame in inches, built up on bolted crossbars; some joints tapped, one through a lock nut |
| `frames/KD-W5.toml` | rigid frame in steps of 12.5 mm, bolted through its crossbars; two grades, two finishes, handed covers |
| `frames/OS-X3.toml` | telescoping frame, pinned through rows of holes; handed strips |
| `frames/BD-A4.toml` | rigid frame: seat depth on a block, back height |
| `frames/VL-M2.toml` | folding frame: back height along a row of holes, seat depth on a block; its width stays |
| `jobs.xlsx` | planned jobs of weeks 48 to 50 |
| `stock.xlsx` | the count, booked through week 48; what is on order, suppliers, price breaks and a year of use |
| `stock-ledger.sqlite` | its ledger: week 48 is closed, a job of week 50 is held |

The year of use is what some 35 jobs a week took, drawn by chance for these frames and worked out by the program
itself, with repairs beside. It is booked on Fridays.

Week 48 was closed on the Friday: J-4091, J-4092 and J-4093 were done; of J-4094 the left side; J-4095 was not begun.
The last two are left over. J-4170, a back height of frame BD-A4 for Wednesday 9 December, is held.

## What is planted

The cells below hold faults on purpose, as real sheets do. An *error* sets its row aside; a *notice* is only said.
This list is written by `tests/make_demo_data.py` together with the workbooks, so its cells are true.

| kind | cell | code | what |
|---|---|---|---|
"""

TAIL = """
## What is scarce, and why

Most tilt chairs of the week go from 16 in to 17 in, and so three things run low together: the screws 1/4-20 x 2 1/2 in
and 3 in (`B14-250`, `B14-300`) and the half-inch spacer (`SP-050`). The spacers are the frame maker's: four in a set, two
weeks to come, and a delivery of many is due only in the week after. A few of both come on Wednesday; chairs made narrower
give back longer screws, and spacers where somebody knows what the stacks consist of, to be used a working day later.

Early in the week two pairs of chairs are to be widened by two inches (J-4106, J-4110). No stack may have more than two
pieces, and of the one-inch spacer (`SP-100`) hardly any are left: each pair takes as many half-inch ones as four ordinary
chairs. Served first come, first served, at least ten jobs go without a kit; the best choice gives up both
pairs and does at least three jobs more.

The steps of the frame `KD-W5` are 12.5 mm, and no bolt is sold in most of the lengths that follow. Its bolts
are therefore often substitutes within what grip, nut and engagement allow, and are marked so. It takes bolts of two
grades and two finishes: which of them a chair holds now is often not known before somebody looks.
"""


def readme(planted: list[Planted]) -> str:
    by_kind = sorted(planted, key=lambda fault: (fault.kind, fault.code))
    return HEAD + "".join(map(row, by_kind)) + TAIL


def row(fault: Planted) -> str:
    often = f" ({fault.times} times)" if fault.times > 1 else ""
    return f"| {fault.kind} | `{fault.where}` | `{fault.code}` | {fault.what}{often} |\n"
