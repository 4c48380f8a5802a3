"""A workshop's months as the laws have them: its files, and beside them a book kept by plain sums.

``Month`` does what people do, through the same calls as the commands. ``Model`` knows nothing of the ledger:
it remembers what was done, and says by the rules which jobs count, what lies on the shelf, and what is still
to be done of a job that is half done.
"""

import shutil
import tempfile
from collections import Counter
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

import openpyxl
from books import workbook
from closing_shop import FRAME, fill

from reconcile.reports.closing.returns_book import write_returns_book
from reconcile.sheets.finding import located
from reconcile.sheets.jobs.question import Question
from reconcile.sheets.request import Request
from reconcile.values.days import Period, period_named
from reconcile.values.week.results import JobResult, Week
from reconcile.work.entries.closing import book_closing, prepare_closing
from reconcile.work.entries.holding import ask_and_hold
from reconcile.work.entries.releasing import release
from reconcile.work.entries.undoing import undo
from reconcile.work.planning import plan

JOINTED = """
code = "QJ-1"
source = "build sheet Q"
[[adjustment]]
name = "seat width"
minimum = "14 in"
maximum = "20 in"
step = "1/2 in"
[[adjustment.joint]]
name = "crossbar"
bolts = 2
stacks = 1
thread = "1/4-20 UNC"
head = "socket cap"
length = "1 in"
grip = "1/2 in"
engagement = { minimum = "3/8 in", maximum = "3/4 in" }
spacers = [{ part = "SP-050", thickness = "1/2 in" }]
reuse = "after inspection"
spacer_reuse = "after inspection"
extras = [{ part = "LOCK", quantity = "0.1 mL" }]
"""
BOLTS = {"B-100": "1 in", "B-150": "1 1/2 in", "B-162": "1 5/8 in", "B-200": "2 in"}
FRIDAY = date(2026, 11, 27)
MONDAYS = tuple(date(2026, 11, 30) + timedelta(days=7 * n) for n in range(4))
DAYS = tuple(monday + timedelta(days=n) for monday in MONDAYS for n in (0, 2, 4))
KINDS = {
    "panel": ("ZB-1", "10 in", "11 in"),
    "panel back": ("ZB-1", "11 in", "10 in"),
    "wider": ("QJ-1", "14 in", "15 in"),
    "wider still": ("QJ-1", "15 in", "16 in"),
    "narrower": ("QJ-1", "16 in", "15 in"),
}
HEADINGS = ("job", "date", "frame", "from", "to", "chairs", "priority")
LEDGER = "stock-ledger.sqlite"
PUT_IN_THE_PLACE_OF = ("bolt", "cover", "sized")
"""Of these as many have come off as new ones are in: no hole holds two."""
Key = tuple[str, str, str, str, str]


def name_of(monday: date) -> str:
    year, week, _ = monday.isocalendar()
    return f"{year}-W{week:02}"


def monday_of(day: date) -> date:
    return day - timedelta(days=day.weekday())


@dataclass(frozen=True)
class SheetRow:
    """A row of the jobs sheet, or what a held job was asked for with."""

    number: str
    day: date
    kind: str
    chairs: int = 1
    priority: int = 3

    @property
    def cells(self) -> tuple[object, ...]:
        return (self.number, self.day, *KINDS[self.kind], self.chairs, self.priority)

    @property
    def says(self) -> tuple[str, int]:
        return (self.kind, self.chairs)


@dataclass(frozen=True)
class Closed:
    """What one closing came to, by plain sums."""

    shelf: Counter
    done: frozenset[str]
    booked: dict[str, Counter]
    """Of jobs that are part done: used, or taken off, by line."""
    said: dict[str, tuple[str, int]]
    """What the rows of those jobs said."""
    received: tuple[tuple[str, str, Fraction], ...]


@dataclass
class Model:
    """What the test knows without asking the program."""

    rows: list[SheetRow] = field(default_factory=list)
    held: dict[str, SheetRow] = field(default_factory=dict)
    opening: Counter = field(default_factory=Counter)
    closings: dict[str, Closed] = field(default_factory=dict)
    """Those that stand, by week, in the order of closing."""
    today: date = FRIDAY
    weeks: int = 2
    """Of the look-ahead."""
    closes: bool = True

    def shelf(self) -> Counter:
        found = Counter(self.opening)
        for each in self.closings.values():
            for part, quantity in each.shelf.items():
                found[part] += quantity
        return found

    def done(self) -> dict[str, str]:
        return {number: week for week, each in self.closings.items() for number in each.done}

    def part_done(self, row: SheetRow) -> Counter | None:
        """What is booked of it by line; None where nothing is, or its row says something else since."""
        found, said = Counter(), None
        for each in self.closings.values():
            if row.number in each.booked:
                found += each.booked[row.number]
                said = each.said[row.number]
        for (do, what, *where), quantity in list(found.items()):
            if do == "fit" and what in PUT_IN_THE_PLACE_OF:
                off = ("remove", what, *where)
                found[off] = max(found[off], quantity)
        return found if said == row.says else None

    def counted(self, period: Period) -> dict[str, SheetRow]:
        """By number the row or the hold that counts."""
        groups = self.counts(period)
        return {row.number: row for why in COUNTING for row in groups.get(why, ())}

    def note_overtaken(self) -> None:
        """Whoever books, or holds, notes which holds a row has overtaken."""
        for number in {row.number for row in self.rows} & self.held.keys():
            del self.held[number]

    def standing(self, number: str) -> str:
        if number in self.done():
            return "done"
        return "part done" if any(number in each.booked for each in self.closings.values()) else "open"

    def counts(self, period: Period) -> dict[str, list[SheetRow]]:
        """Every row and every hold that no row overtook, by what becomes of it."""
        seen = [(self.why(row, period), row) for row in self.rows]
        numbers = {row.number for row in self.rows}
        seen += [(self.why(row, period), row) for number, row in self.held.items() if number not in numbers]
        found: dict[str, list[SheetRow]] = {}
        for why, row in self.told_apart(seen, period):
            found.setdefault(why, []).append(row)
        return found

    def told_apart(self, seen, period):
        """Of several rows of one number that is not done one counts, or all are doubled."""
        today = self.today_of(period)
        apart = ("done", "done elsewhere", "taken as done", "later")
        for why, row in seen:
            like = [(w, r) for w, r in seen if r.number == row.number and w not in apart]
            now = [r for _, r in like if r.day >= today]
            if why in apart or len(like) < 2:
                yield why, row
            elif row.day >= today:
                yield ("doubled" if len(now) > 1 else why), row
            else:
                latest = max((r.day, self.rows.index(r)) for _, r in like)
                yield ("history" if now or (row.day, self.rows.index(row)) != latest else why), row

    def today_of(self, period: Period) -> date:
        return period.first if period.last < self.today else self.today

    def why(self, row: SheetRow, period: Period) -> str:
        if row.number in self.done():
            return "done" if row.day in period else "done elsewhere"
        if row.day in period:
            return "in the period"
        today, back = self.today_of(period), period.last < self.today
        end = period.last if back else max(today + timedelta(days=7 * self.weeks), period.last)
        if row.day > period.last:
            return "after the period" if row.day <= end else "later"
        return "before the period" if row.day >= today else self.why_past(row.day, today)

    def why_past(self, day: date, today: date) -> str:
        """Of a job whose day lies before today and before the period."""
        closed = [date.fromisocalendar(int(week[:4]), int(week[6:]), 1) for week in self.closings]
        monday = monday_of(day)
        if not closed:
            same_week = self.closes and monday == monday_of(today)
            return "not closed" if same_week else "taken as done"
        if monday < min(closed):
            return "taken as done"
        return "left over" if monday in closed else "not closed"


COUNTING = ("in the period", "before the period", "after the period", "left over", "not closed")


KIND_SAID = {"used with the bolt": "extra", "replace on reassembly": "disturbed", "part by size": "sized"}
"""What the returns workbook says of a line, by the kind that the plan's lines carry; others are the same."""


def key_of(line) -> Key:
    """A line of the returns workbook, as a job's is named: of what is used up beside a bolt its part too."""
    what = KIND_SAID.get(line["what"], line["what"])
    part = line["part"] if what == "extra" else ""
    return (line["do"], what, line["name"] or "", line["side"] or "", part)


class Month:
    """The workshop's folder, and what people do in it."""

    def __init__(self, model: Model, stock: list[tuple], on_order: list[tuple], settings: str) -> None:
        self.model = model
        self.folder = Path(tempfile.mkdtemp(prefix="month-"))
        (self.folder / "frames").mkdir()
        (self.folder / "frames" / "ZB-1.toml").write_text(FRAME, "utf-8")
        (self.folder / "frames" / "QJ-1.toml").write_text(JOINTED, "utf-8")
        (self.folder / "reconcile.toml").write_text(settings, "utf-8")
        workbook(self.folder / "stock.xlsx", Stock=stock, On_order=on_order, Usage=[USAGE])
        self.write_jobs()

    def remove(self) -> None:
        shutil.rmtree(self.folder)

    def write_jobs(self) -> None:
        workbook(self.folder / "jobs.xlsx", Jobs=[HEADINGS, *(row.cells for row in self.model.rows)])

    def request(self, monday: date | None = None, folder: Path | None = None, **more) -> Request:
        week = None if monday is None else name_of(monday)
        return Request(folder or self.folder, today=self.model.today, week=week, **more)

    def plan(self, monday: date, folder: Path | None = None) -> Week:
        return plan(self.request(monday, folder), remember=False)

    def write(self, monday: date) -> tuple[Week, Path]:
        """The week's returns workbook, as a run writes it; the other workbooks are not asked for here."""
        planned = self.plan(monday)
        path = self.folder / "reports" / f"returns-{name_of(monday)}.xlsx"
        path.parent.mkdir(exist_ok=True)
        write_returns_book(planned, path)
        return planned, path

    def hold(self, row: SheetRow) -> bool:
        frame, size_from, size_to = KINDS[row.kind]
        question = Question(
            frame, size_from, size_to, row.day.isoformat(), chairs=str(row.chairs),
            priority=str(row.priority), number=row.number,
        )  # fmt: skip
        return ask_and_hold(question, self.request()).hold is not None

    def release(self, number: str) -> None:
        release(number, located(self.request()))

    def undo(self, monday_name: str) -> None:
        undo(monday_name, located(self.request()), in_place=True)

    def close(self, monday: date, folder: Path | None = None) -> None:
        prepared = prepare_closing(self.request(folder=folder), name_of(monday))
        book_closing(prepared, in_place=True)


USAGE = ("date", "part", "quantity", "job")


def in_returns(path: Path, sheet: str) -> list[dict[str, object]]:
    lines = list(openpyxl.load_workbook(path)[sheet].iter_rows(values_only=True))
    return [dict(zip(lines[0], line, strict=True)) for line in lines[1:]]


@dataclass(frozen=True)
class Fill:
    """How one job of the returns is filled in: yes, part or nothing; and of each line how much."""

    word: str = ""
    shares: tuple[str, ...] = ()
    """Of the lines in turn: none of it, half of it, all of it, spoilt; over again if there are more."""


def exact(value: object) -> Fraction:
    return Fraction(str(value)) if value is not None else Fraction(0)


def filled_in(lines: list[dict[str, object]], fills: dict[str, Fill]) -> list[dict[str, object]]:
    """The figures of each line, as somebody would write them."""
    turns: Counter = Counter()
    found = []
    for line in lines:
        one = fills.get(str(line["job"]), Fill())
        share = one.shares[turns[line["job"]] % len(one.shares)] if one.shares else ""
        turns[line["job"]] += 1
        found.append(figures(line, share) if one.word else {})
    return found


def figures(line: dict[str, object], share: str) -> dict[str, object]:
    planned = exact(line["planned"])
    whole = line["unit"] == "each"
    half = Fraction(planned // 2) if whole else planned / 2
    done = "used" if line["do"] == "fit" else "returned"
    told = {"": {}, "half": {done: half}, "all": {done: planned}}
    told["spoilt"] = {done: planned, "scrapped": half} if done == "used" else {"scrapped": planned}
    return {heading: float(figure) for heading, figure in told[share].items()}


def write_figures(path: Path, fills: dict[str, Fill], received: dict[str, Fraction]) -> None:
    fill(path, "Done", lambda row: {"done": fills[row["job"]].word} if row["job"] in fills else {})
    told = iter(filled_in(in_returns(path, "Lines"), fills))
    fill(path, "Lines", lambda _row: next(told))
    fill(
        path,
        "Deliveries",
        lambda row: {"received": float(received[row["order"]])} if row["order"] in received else {},
    )


def comes_to(path: Path, fills: dict[str, Fill], received: dict[str, Fraction], rows: dict) -> Closed:
    """What a returns workbook filled in so comes to, reckoned from its cells."""
    shelf, booked, said = Counter(), {}, {}
    lines = in_returns(path, "Lines")
    for line, told in zip(lines, filled_in(lines, fills), strict=True):
        number, part, done = line["job"], line["part"], fills.get(line["job"], Fill()).word == "yes"
        if not (done or told):
            continue
        used, returned, scrapped = (exact(told.get(each)) for each in ("used", "returned", "scrapped"))
        planned = exact(line["planned"]) if done else Fraction(0)
        if line["do"] == "fit":
            used = used if "used" in told else planned
            shelf[part] -= used + scrapped
            off = used
        else:
            returned = returned if "returned" in told else max(planned - scrapped, Fraction(0))
            shelf[part] += returned
            off = returned + scrapped
        if not done:
            booked.setdefault(number, Counter())[key_of(line)] += off
            said[number] = rows[number].says
    taken = []
    for row in in_returns(path, "Deliveries"):
        if (quantity := received.get(row["order"], Fraction(0))) > 0:
            shelf[row["part"]] += quantity
            taken.append((row["order"], row["part"], quantity))
    finished = frozenset(number for number, each in fills.items() if each.word == "yes")
    return Closed(shelf, finished, booked, said, tuple(taken))


# --- what a plan says, told so that it can be compared ----------------------------------------------------


def everyone(week: Week) -> list[JobResult]:
    return [*week.jobs, *week.others]


def asked_by_line(result: JobResult) -> Counter:
    """How much of each line is to be done, for all chairs."""
    found: Counter = Counter()
    for served in result.lines:
        line = served.line
        part = line.choices[0].parts[0][0] if line.what == "extra" and line.choices else ""
        found[line.do, line.what, line.name, line.side, part] += served.quantity
    return found


def kits_by_priority(week: Week) -> tuple[int, ...]:
    """How many jobs of each priority get a kit, the most urgent first: greater is better."""
    got = Counter(each.job.priority for each in everyone(week) if each.kit not in {"short", "done"})
    return tuple(got[priority] for priority in (1, 2, 3))


def in_week(name: str) -> Period:
    period = period_named(name)
    assert period is not None
    return replace(period, last=period.first + timedelta(days=4))


class Account:
    """What there is of each part by day if the jobs that have a kit are done, from the answer alone."""

    def __init__(self, week: Week) -> None:
        self.week, self.days = week, week.settings.days
        self.moves = [(each.part, each.day, each.quantity) for each in week.stock.due]
        for result in everyone(week):
            if result.kit not in {"short", "done"}:
                self.moves += list(self.of(result))

    def when(self, result: JobResult) -> date:
        """Its day; of one that has passed the first working day from today on."""
        day = max(result.job.day, self.week.today)
        while result.job.day < self.week.today and not self.days.worked(day):
            day += timedelta(days=1)
        return day

    def of(self, result: JobResult):
        when, usable = self.when(result), self.usable(result)
        for served in result.lines:
            for part, quantity in served.parts:
                if served.line.do == "fit":
                    yield part, when, -quantity
                elif served.line.reuse and part in self.week.stock.parts and usable:
                    yield part, usable, quantity

    def usable(self, result: JobResult) -> date | None:
        if not self.week.settings.use_recovered:
            return None
        return self.days.after(self.when(result), self.week.settings.inspection_days)

    def in_time(self, part: str, day: date) -> bool:
        listed = self.week.stock.parts.get(part)
        lead_time = None if listed is None else listed.lead_time
        return lead_time is not None and self.days.before(day, lead_time) >= self.week.today

    def given_out_twice(self) -> list[tuple[str, date]]:
        """Parts and days by which more is given out than is there, and for which none can be ordered."""
        found = []
        for part in {each for each, _, _ in self.moves}:
            listed = self.week.stock.parts.get(part)
            there = Fraction(0) if listed is None else listed.on_hand
            for day in sorted({when for each, when, _ in self.moves if each == part}):
                left = there + sum(n for each, when, n in self.moves if each == part and when <= day)
                if left < 0 and not self.in_time(part, day):
                    found.append((part, day))
        return found

    def not_ordered(self) -> list[str]:
        """Parts that jobs lack, to be ordered, and that are neither on the order nor to come."""
        lacks, now = Counter(), Counter()
        lines = {line.part.number: line for line in self.week.parts}
        for result in everyone(self.week):
            for lack in result.missing if result.kit == "order" else ():
                lacks[lack.part] += lack.quantity
                if self.when(result) <= lines[lack.part].reach:
                    now[lack.part] += lack.quantity
        return [
            part
            for part in lacks
            if lines[part].shortfall + lines[part].beyond < lacks[part]
            or lines[part].order < max(now[part], lines[part].shortfall)
        ]
