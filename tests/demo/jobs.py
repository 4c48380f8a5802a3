# ruff: noqa: E501 (tables are read across)
"""The jobs, as the clerk wrote them. A day that is no name of ``DAYS`` goes in as text."""

from typing import Any

from demo.tables import day, number, table
from reconcile.sheets.jobs.headings import JOBS as READ

JOB_HEADINGS = (
    "Job no", "Planned day", "Frame", "Adjustment", "Size now", "Size wanted", "Options", "Side", "Left now",
    "Right now", "Chairs", "Priority", "Technician", "Asset", "Notes",
)  # fmt: skip
SPACERS_NOW_HEADING = "Spacers now"
SPACERS_NOW_IS_READ = SPACERS_NOW_HEADING.lower() in READ.headings
"""A column that the program does not read yet is not in the demonstration either."""

JOBS = """
J-4101 | Mon | NQ-T1 |             | 16 in    | 17 in    | anti-tippers           |       |   |   |   | 2 | Bench 1 | WC-0412 |
J-4102 | Mon | NQ-T1 |             | 16"      | 17"      |                        | both  |   |   | 2 | 2 | Bench 2 |         | pair for the day centre
J-4103 | Mon | KD-W5 | seat width  | 400 mm   | 425 mm   |                        |       |   |   |   | 3 | Bench 3 | WC-0518 |
J-4104 | Mon | NQ-T1 |             | 18 in    | 17 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0420 |
J-4105 | Mon | OS-X3 |             | 16 in    | 17 in    | cable brakes           |       |   |   |   | 3 | Bench 3 | WC-0602 |
J-4106 | Mon | NQ-T1 |             | 15 in    | 17 in    | solid seat             | both  |   |   | 2 | 3 | Bench 2 |         | growth refits, two inches, a pair of twins
J-4107 | Mon | BD-A4 | seat depth  | 15 in    | 16 in    | solid seat             |       |   |   |   | 2 | Bench 3 | WC-0711 |
J-4108 | Mon | NQ-T1 |             | 17 in    | 17 in    |                        |       |   |   |   | 4 | Bench 1 | WC-0431 | check only?
J-4109 | Tue | NQ-T1 |             | 16 in    | 17½"     |                        |       |   |   |   | 3 | Bench 1 | WC-0433 |
J-4110 | Tue | NQ-T1 |             | 16 in    | 18 in    | solid seat             | both  |   |   | 2 | 3 | Bench 2 |         | two alike for the day centre
J-4111 | Tue | KD-W5 | seat width  | 375 mm   | 387,5 mm |                        |       |   |   |   | 3 | Bench 3 | WC-0522 | one step only
J-4112 | Tue | NQ-T1 |             | 16 in    | 17 in    | Anti-tippers           |       |   |   |   | 1 | Bench 1 | WC-0415 | discharge on Wednesday
J-4113 | Tue | BD-A4 | back height | 16 in    | 18 in    | push handles           |       |   |   |   | 3 | Bench 3 |         |
J-4114 | Tue | NQ-T1 |             | 17 1/2"  | 17 in    |                        |       |   |   |   | 3 | Bench 2 | WC-0436 |
J-4115 | 3/12/2026 | NQ-T1 |       | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0438 | date as the ward wrote it
J-4116 | Tue | NQ-T11|             | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0439 |
J-4117 | Tue | OS-X3 | seat width  | 17 in    | 16 in    |                        |       |   |   | 2 | 3 | Bench 3 |         |
J-4118 | Wed | NQ-T1 |             | 16 in    | 17 in    | front rigging; push bar |       |   |   |   | 2 | Bench 1 | WC-0441 |
J-4119 | Wed | NQ-T1 |             | 16½"     | 17 in    |                        | right | 3 | 2 |   | 3 | Bench 2 | WC-0442 |
J-4120 | Wed | NQ-T1 |             | 16 in    | 17 in    | anti-tippers           |       |   |   |   | 3 | Bench 1 | WC-0443 |
J-4121 | Wed | VL-M2 | back height | 450 mm   | 425 mm   |                        |       |   |   |   | 3 | Bench 3 | WC-0525 |
J-4122 | Wed | KD-W5 |             | 400 mm   | 450 mm   | elevating leg rests; fixed axle |       |   |   |   | 2 | Bench 3 | WC-0526 |
J-4123 | Wed | BD-A4 | seat depth  | 16 in    | 17 in    |                        |       |   |   | 2 | 3 | Bench 2 |         |
J-4124 | Wed | NQ-T1 |             | 16 1/4"  | 17 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0444 | measured over the side guards
J-4125 | Wed | NQ-T1 |             | 18 in    | 16 in    |                        |       | 5 | 3 |   | 4 | Bench 2 | WC-0445 | handed down to a smaller user
J-4126 | Thu | NQ-T1 |             | 16 in    | 17 in    | fixed axle             |       |   |   |   | 3 | Bench 1 | WC-0446 |
J-4127 | Thu | NQ-T1 |             | 406.4 mm | 17 in    | solid seat             |       |   |   |   | 3 | Bench 2 | WC-0447 |
J-4128 | Thu | NQ-T1 |             | 17 in    | 18 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0448 |
J-4129 | Thu | NQ-T1 |             | 16 in    | 17 in    | front riging           |       |   |   |   | 3 | Bench 2 |         |
J-4130 | Thu | KD-W5 | Seat width  | 362.5 mm | 387.5 mm |                        |       |   |   |   | 3 | Bench 3 | WC-0527 |
J-4131 | Thu | OS-X3 |             | 15 1/2 in| 17 in    | cable brakes; cup holder |     |   |   |   | 3 | Bench 3 | WC-0608 |
J-4132 | Thu | BD-A4 | back height | 15 in    | 17 in    |                        |       |   |   |   | 4 | Bench 2 |         |
J-4133 | Thu | NQ-T1 |             | 16 in    | 17 in    |                        | both  | 3 | 2 |   | 3 | Bench 1 | WC-0450 | left looks fuller
J-4134 | Fri | NQ-T1 |             | 16 in    | 17 in    | anti-tippers; push bar|       |   |   |   | 2 | Bench 1 | WC-0451 |
J-4135 | Fri | NQ-T1 |             | 16 in    | 17 in    |                        |       |   |   | 2 | 3 | Bench 2 |         |
J-4136 | Fri | NQ-T1 |             | 17 in    | 18 in    | solid seat             |       |   |   |   | 3 | Bench 1 | WC-0453 |
J-4137 | Fri | NQ-T1 |             | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 3 | WC-0454 |
J-4138 | Fri | KD-W5 |             | 400 mm   | 425 mm   |                        |       |   |   | 2 | 3 | Bench 3 |         |
J-4139 | Fri | NQ-T1 |             | 16 in    | 17 in    |                        |       |   |   |   | 5 | Bench 2 | WC-0455 |
J-4139 | Fri | NQ-T1 |             | 15 in    | 16 in    |                        |       |   |   |   | 3 | Bench 2 | WC-0456 | number typed twice?
J-4140 | Fri | NQ-T1 |             | 18 in    | 19 in    |                        |       |   |   |   | 4 | Bench 1 | WC-0457 |
J-4141 | Fri | VL-M2 | seat depth  | 425 mm   | 400 mm   |                        |       |   |   |   | 5 | Bench 3 | WC-0718 |
J-4142 | Sat | OS-X3 |             | 17 in    | 18 in    |                        |       |   |   |   | 3 | Bench 3 | WC-0610 | user can only come on Saturday
J-4143 | Tue | NQ-T1 |             | 15 in    | 17 in    |                        |       |   |   |   | 3 | Bench 2 | WC-0458 | rang on Thursday
J-4144 | Thu | NQ-T1 |             | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0459 | added late
J-4145 | Wed | NQ-T1 |             | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 3 | WC-0460 | added late
J-4151 | Mon2| NQ-T1 |             | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 1 | WC-0461 |
J-4152 | Mon2| NQ-T1 |             | 17 in    | 16 in    | anti-tippers           |       |   |   |   | 3 | Bench 2 | WC-0462 |
J-4153 | Mon2| KD-W5 |             | 450 mm   | 425 mm   |                        |       |   |   |   | 3 | Bench 3 | WC-0531 |
J-4154 | Mon2| OS-X3 |             | 16 in    | 17 in    | cable brakes           |       |   |   |   | 2 | Bench 3 | WC-0611 |
J-4155 | Wed2| NQ-T1 |             | 16 in    | 18 in    | solid seat             |       |   |   |   | 3 | Bench 1 | WC-0463 |
J-4156 | Wed2| NQ-T1 |             | 16 in    | 17 in    | front rigging; anti-tippers | |   |   |   | 2 | Bench 2 | WC-0464 |
J-4157 | Wed2| BD-A4 | seat depth  | 15½"     | 16½"     |                        |       |   |   |   | 3 | Bench 3 |         |
J-4158 | Wed2| BD-A4 | back height | 14 in    | 16 in    | push handles           |       |   |   |   | 3 | Bench 3 | WC-0721 |
J-4159 | Wed2| NQ-T1 |             | 16"      | 17"      |                        |       |   |   | 2 | 3 | Bench 1 |         |
J-4160 | Thu2| VL-M2 | seat depth  | 400 mm   | 412.5 mm |                        |       |   |   |   | 3 | Bench 3 | WC-0533 |
J-4161 | Thu2| NQ-T1 |             | 19 in    | 18 in    |                        |       |   |   |   | 4 | Bench 2 | WC-0466 |
J-4162 | Thu2| NQ-T1 |             | 16 in    | 17 in    | solid seat; push bar   |       |   |   |   | 3 | Bench 1 | WC-0467 |
J-4163 | Fri2| OS-X3 |             | 18 in    | 17 in    |                        |       |   |   |   | 3 | Bench 3 | WC-0613 |
J-4164 | Fri2| NQ-T1 |             | 16½ in   | 17½ in   |                        |       |   |   |   | 3 | Bench 2 | WC-0468 |
J-4091 | Mon0| OS-X3 |             | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 3 | WC-0615 |
J-4092 | Tue0| BD-A4 | seat depth  | 15 in    | 16 in    |                        |       |   |   |   | 3 | Bench 2 | WC-0722 |
J-4093 | Tue0| KD-W5 |             | 375 mm   | 400 mm   |                        |       |   |   |   | 3 | Bench 1 | WC-0529 |
J-4094 | Wed0| OS-X3 |             | 16 in    | 17 in    |                        |       |   |   |   | 3 | Bench 3 | WC-0616 | strap for the right still to come
J-4095 | Thu0| VL-M2 | back height | 400 mm   | 425 mm   |                        |       |   |   |   | 3 | Bench 3 | WC-0723 |
"""

# What some of the stacks consist of, as somebody wrote it down when the chair was last open.
SPACERS_NOW = {
    "J-4101": "1 in",
    "J-4102": "1 in",
    "J-4103": "25 mm",
    "J-4104": "1 in + 1 in",
    "J-4107": "none",
    "J-4112": "single",
    "J-4120": "1 in",
    "J-4123": "1/2 in + 1/2 in",
    "J-4125": "left: 2 in + 1/2 in; right: 1 in + 1/2 in",
    "J-4134": "1/2 in + 1/2 in",
    "J-4141": "SPN-250",
    "J-4152": "1 in + 1/2 in",
    "J-4160": "none",
}


def headings() -> list[str]:
    return [*JOB_HEADINGS, SPACERS_NOW_HEADING] if SPACERS_NOW_IS_READ else list(JOB_HEADINGS)


def job_rows() -> list[list[Any]]:
    rows = []
    for cells in table(JOBS):
        numbers = [number(cell) for cell in cells[8:12]]
        stacks = [SPACERS_NOW.get(cells[0])] if SPACERS_NOW_IS_READ else []
        words = (cell or None for cell in cells[2:8])
        rows.append([cells[0], day(cells[1]), *words, *numbers, *cells[12:], *stacks])
    return [[cell if cell != "" else None for cell in row] for row in rows]
