"""The words of the demonstration's README, around the list of what is planted."""

from demo.sheets import Planted
from demo.tables import WORKSHOP

README_HEAD = f"""# The demonstration workshop

{WORKSHOP} does not exist. Its frames, build sheets, suppliers, torques and prices are invented,
and so is every job. Use no figure of them on a chair. Today is taken as 2026-11-27; the week to plan is 2026-W49.

    reconcile week data_demo --week 2026-W49 --today 2026-11-27

| file | what it holds |
|---|---|
| `reconcile.toml` | settings: currency, working days, one holiday, the workshop's own word for a bin |
| `frames/` | four frames: bolted tilt frame in inches, folding frame in 12.5 mm steps, telescoping frame, rigid frame with two adjustments |
| `jobs.xlsx` | planned jobs of weeks 49 and 50 |
| `stock.xlsx` | the count, what is on order, suppliers, price breaks and a year of use |

## What is planted

The cells below hold faults on purpose, as real sheets do. An *error* sets its row aside; a *notice* is only said.
This list is written by `tests/make_demo_data.py` together with the workbooks, so its cells are true.

"""

README_TAIL = """
## What is scarce, and why

Most tilt chairs of the week go from 16 in to 17 in, and so two things run low together: the screw 1/4-20 x 2 1/2 in
(`B14-250`) and the half-inch spacer (`SP-050`). One delivery of both comes on Wednesday; chairs made narrower give
back spacers and longer screws, to be used a working day later.

Early in the week three chairs are to be widened by three inches (J-4106, J-4110, J-4143). Each takes as many spacers
as three ordinary chairs. Served first come, first served, at least ten jobs of 39 would go without a kit; the
best choice gives up two of the three and leaves six jobs short, so four more chairs are done.

The steps of the folding frame `VL-M2` are 12.5 mm, and no bolt is sold in most of the lengths that follow. Its bolts
are therefore often substitutes within what grip and engagement allow, and are marked so.
"""


def readme(planted: list[Planted]) -> str:
    by_kind = sorted(planted, key=lambda fault: (fault.kind, fault.code))
    lines = [f"| {each.kind} | `{each.where}` | `{each.code}` | {each.what} |" for each in by_kind]
    return "\n".join(
        (README_HEAD + "| kind | cell | code | what |", "|---|---|---|---|", *lines, README_TAIL)
    )
