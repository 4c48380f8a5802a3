"""What must hold when any text at all is read as a description; shared by the fuzzer and its short test."""

from reconcile.sheets.fasteners.descriptions import read_description


def spans_of(read):
    """Every place that a reading names: (start, end)."""
    single = (read.thread, read.length, read.head, read.grade, read.fully_threaded, read.fault)
    found = [each for each in (*single, *read.unread, *read.doubts, *read.faults) if each is not None]
    return [(each.start, each.end) for each in found] + list(read.understood)


def hold_places(text, read):
    """Every span lies within the text; the unread and the understood ones are in its order."""
    for start, end in spans_of(read):
        assert 0 <= start < end <= len(text), (start, end, text)
    unread = [(each.start, each.end) for each in read.unread]
    for ordered in (unread, list(read.understood), [(each.start, each.end) for each in read.faults]):
        assert ordered == sorted(ordered), text
    for each in (*read.unread, *read.doubts):
        assert text[each.start : each.end] == each.value, text
    assert set(read.doubts) <= set(read.unread), text


def hold_digits(text, read):
    """No digit is dropped: each is understood, or left unread and shown."""
    covered = [*read.understood, *((each.start, each.end) for each in read.unread)]
    for place, char in enumerate(text):
        if char.isdigit() or char in "½¼¾⅛⅜⅝⅞":
            assert any(start <= place < end for start, end in covered), (char, place, text)


def hold_bolt(text, read):
    """A bolt has no fault beside it, is a bolt that can be, and is written and read back as itself."""
    if read.bolt is None:
        return
    assert read.fault is None and not read.lacks and read.kind == "bolt", text
    again = read_description(read.bolt.designation)
    said = (again.bolt.thread, again.bolt.length, again.bolt.head, again.bolt.grade)
    assert said == (read.bolt.thread, read.bolt.length, read.bolt.head, read.bolt.grade), text
    assert again.whole, text


def hold(text):
    """Raises AssertionError where the reading of a text breaks a rule; anything else raised is a crash."""
    read = read_description(text)
    hold_places(text, read)
    hold_digits(text, read)
    hold_bolt(text, read)
    assert (read.fault is not None) <= bool(read.faults), text
