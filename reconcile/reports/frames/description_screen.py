"""What was read of a description: line by line, with a mark under whatever was not; or as one JSON object."""

import json
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeVar

from reconcile.reports.writing.json_text import SCHEMA
from reconcile.reports.writing.text import width, wrapped
from reconcile.values.measure import length_text
from reconcile.values.stock.descriptions import DescriptionRead, Found, SaidNut, SaidWasher, Spacer
from reconcile.values.stock.parts import Bolt, Thread

INDENT = "  "
NOT_SAID = "not said"
HANG = " " * 15
T = TypeVar("T")

Lines = Iterator[tuple[str, str]]


def description_screen(text: str, read: DescriptionRead) -> str:
    """The verdict; what was read; the text with ``^^^`` under what was not, and why. 80 columns."""
    sections = (iter([wrapped(verdict(read))]), read_lines(read), marked(text, read), remarks(read))
    return "\n\n".join("\n".join(section) for lines in sections if (section := list(lines)))


def verdict(read: DescriptionRead) -> str:
    """Whether it was read whole, in one sentence."""
    if not (read.kind or read.looks_like_bolt):
        return "No fastener: nothing here says what it is."
    named = read.kind or "bolt"
    article = f"A {named}"
    if read.whole:
        designation = f": {read.bolt.designation}" if read.bolt else ""
        return f"{article}, read whole{designation}."
    if read.faults:
        return f"{article}, not read: {read.faults[0].value}"
    if read.lacks:
        return f"{article}, not read whole: {' and '.join(read.lacks)} cannot be told."
    return f"{article}, but not all of the text was understood."


def read_lines(read: DescriptionRead) -> Iterator[str]:
    for name, value in said(read):
        yield wrapped(f"{name:<13}{value}", INDENT, HANG)


def said(read: DescriptionRead) -> Lines:
    """Each trait of the part and what is said of it."""
    if read.other is not None:
        yield "kind of part", read.kind
        yield from other_said(read.other)
        yield "finish", read.finish or NOT_SAID
        return
    unit = read.thread.value.unit if read.thread else "mm"
    yield "thread", trait(read, read.thread, thread_text)
    yield "length", trait(read, read.length, lambda length: length_text(length, unit))
    yield "head", trait(read, read.head)
    yield "grade", trait(read, read.grade)
    yield "threaded", "to the head" if read.fully_threaded else NOT_SAID
    yield "finish", read.finish or NOT_SAID
    yield "designation", read.bolt.designation if read.bolt else "none: not all that makes a bolt was read"


def trait(read: DescriptionRead, found: Found[T] | None, text: Callable[[T], str] = str) -> str:
    """What is said of a trait; a figure that a fault is about is in doubt."""
    if found is None:
        return NOT_SAID
    doubted = any(fault.start < found.end and found.start < fault.end for fault in read.faults)
    return f"{text(found.value)}{' (in doubt)' if doubted else ''}"


def thread_text(thread: Thread) -> str:
    pitch = f", pitch {length_text(thread.pitch, 'mm')}" if thread.unit == "mm" else ""
    return f"{thread}{pitch}"


def other_said(part: SaidNut | SaidWasher | Spacer) -> Lines:
    if isinstance(part, SaidNut):
        yield "thread", str(part.thread) if part.thread else NOT_SAID
        yield "size", part.size or NOT_SAID
        yield "sort", part.kind or NOT_SAID
    elif isinstance(part, SaidWasher):
        yield "for size", part.size or NOT_SAID
        yield "thickness", NOT_SAID if part.thickness is None else length_text(part.thickness, part.unit)
        yield "sort", part.kind or NOT_SAID
    else:
        for name, length in (("length", part.length), ("outside", part.outside), ("bore", part.bore)):
            yield name, NOT_SAID if length is None else length_text(length, part.unit)
        yield "for size", part.size or NOT_SAID


# --- the text, marked -----------------------------------------------------------------------------


def amiss(read: DescriptionRead) -> list[tuple[int, int]]:
    """The places of what is faulty or was not understood, in the order of the text."""
    return sorted({(fault.start, fault.end) for fault in (*read.faults, *read.unread)})


def marked(text: str, read: DescriptionRead) -> Iterator[str]:
    """The text as a terminal shows it, in lines that fit, each with its marks below it."""
    places = amiss(read)
    if not places:
        return
    yield "What was not understood is marked:"
    cells = [
        (shown_char(char), any(start <= n < end for start, end in places)) for n, char in enumerate(text)
    ]
    for line in broken(cells):
        yield f"{INDENT}{''.join(char for char, _ in line)}".rstrip()
        marks = "".join(("^" if is_marked else " ") * columns(char) for char, is_marked in line).rstrip()
        if marks:
            yield f"{INDENT}{marks}"


def shown_char(char: str) -> str:
    """A character as it is shown: tabs and ends of lines as a blank, what cannot be shown as "?"."""
    if char.isspace():
        return " "
    kind = unicodedata.category(char)
    if kind == "Cf":
        return ""
    return "?" if kind[0] == "C" else char


def columns(char: str) -> int:
    """How many columns of a terminal a character takes: 2 for a wide one, 0 for an accent on the last one."""
    if not char or unicodedata.category(char) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


Cells = Sequence[tuple[str, bool]]


def broken(cells: Cells) -> Iterator[Cells]:
    """The characters in lines that fit the screen."""
    start = 0
    while start < len(cells):
        end = fitting(cells, start, width() - len(INDENT))
        if end < len(cells):
            end = behind_blank(cells, start, end)
        yield cells[start:end]
        start = end


def behind_blank(cells: Cells, start: int, end: int) -> int:
    """Where to break: behind the last blank, if one lies in the second half of the line."""
    blanks = (n + 1 for n in range(end, (start + end) // 2, -1) if cells[n][0] == " ")
    return next(blanks, end)


def fitting(cells: Cells, start: int, room: int) -> int:
    """The first character from ``start`` on that has no room any more."""
    for end in range(start, len(cells)):
        room -= columns(cells[end][0])
        if room < 0:
            return end
    return len(cells)


def remarks(read: DescriptionRead) -> Iterator[str]:
    """What is wrong, and what to do about it."""
    for fault in read.faults:
        yield wrapped(fault.value, INDENT, INDENT)
    faulty = [(piece.start, piece.end) for piece in read.faults]
    left = [piece.value for piece in read.unread if not within((piece.start, piece.end), faulty)]
    if left:
        yield wrapped(f"Not understood: {', '.join(shown(text) for text in left)}.", INDENT, INDENT)
    if read.faults or read.lacks:
        yield wrapped(f"Write it like {example(read)}.", INDENT, INDENT)


def within(place: tuple[int, int], places: Iterable[tuple[int, int]]) -> bool:
    return any(start <= place[0] and place[1] <= end for start, end in places)


def shown(text: str) -> str:
    return "".join(map(shown_char, text))


def example(read: DescriptionRead) -> str:
    """A description of the kind that is read whole."""
    if isinstance(read.other, SaidNut):
        return "hex nut M6, or hex nut 1/4-20"
    if isinstance(read.other, SaidWasher):
        return "flat washer M6 1.6 mm thick"
    if isinstance(read.other, Spacer):
        return "spacer 1/2 in"
    return "1/4-20 UNC x 2 1/2 in, socket cap, SAE 8, or M6 x 30 mm, hex, 8.8"


# --- JSON -----------------------------------------------------------------------------------------


def description_json(text: str, read: DescriptionRead) -> str:
    """The same as one JSON object; places are counted in characters of the text, the end not included."""
    return json.dumps(description_object(text, read), ensure_ascii=False)


def description_object(text: str, read: DescriptionRead) -> dict[str, object]:
    return {
        "schema": SCHEMA,
        "text": text,
        "whole": read.whole,
        "kind": read.kind or None,
        "designation": read.bolt.designation if read.bolt else None,
        **(bolt_object(read) if read.other is None else other_object(read.other)),
        "finish": read.finish or None,
        "lacks": list(read.lacks),
        "faults": [{"says": fault.value, **place(fault)} for fault in read.faults],
        "unread": [{"text": piece.value, **place(piece)} for piece in read.unread],
    }


def bolt_object(read: DescriptionRead) -> dict[str, object]:
    unit = read.thread.value.unit if read.thread else "mm"
    return {
        "thread": str(read.thread.value) if read.thread else None,
        "length": length_text(read.length.value, unit) if read.length else None,
        "head": read.head.value if read.head else None,
        "grade": read.grade.value if read.grade else None,
        "thread_length": threaded(read.bolt, unit),
    }


def threaded(bolt: Bolt | None, unit: str) -> str | None:
    return None if bolt is None or bolt.thread_length is None else length_text(bolt.thread_length, unit)


def other_object(part: SaidNut | SaidWasher | Spacer) -> dict[str, object]:
    said = {name.replace(" ", "_"): value for name, value in other_said(part)}
    return {name: None if value == NOT_SAID else value for name, value in said.items()}


def place(found: Found[str]) -> dict[str, int]:
    return {"start": found.start, "end": found.end}
