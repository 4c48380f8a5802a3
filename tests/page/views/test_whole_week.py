"""A whole week without a command: what the folder says afterwards is what the commands make of it."""

import pytest
from open_page import Opened
from page_week import ANSWER, COUNTED, HELD, by_commands, foreign_shop, state_of

ORDER = "2026-W49-NORD"


def begin_and_mend(page: Opened) -> None:
    assert page.get("/today").verdict == "No week can be planned yet."
    begun = page.send("/begin", "/begin")
    assert begun.verdict == "Begun. A week can be planned.", begun.text
    mended = page.send("/mend", "/mend/length", use="3/8 in")
    assert "Lagerliste.xlsx!Bestand!I9 is read as 3/8 in." in mended.text


def ask_and_hold(page: Opened) -> None:
    asked = {**HELD, "measure": "back height", "chairs": "1", "go": "1"}
    del asked["number"]
    assert page.get("/ask", **asked).verdict.startswith("Yes, if 4 CLIP are ordered by")
    held = page.send("/ask", "/ask/hold", query=asked, number=HELD["number"], who="Ada")
    assert held.verdict == "H-1 is held. It counts for everyone from now on."


def order_and_receive(page: Opened) -> None:
    assert page.send("/orders", "/orders/write").verdict == "The week’s workbooks are written."
    filled = page.form("/order", "/order/change", n=ORDER)
    quantity = next(name for name in filled if name.startswith("quantity-"))
    changed = page.send("/order", "/order/change", query={"n": ORDER}, **{quantity: "30"})
    assert "CLIP: quantity 30, written as" in changed.text
    assert page.send("/order", "/order/place", query={"n": ORDER}, who="Ada").verdict == f"{ORDER} is placed."
    answer = ANSWER.format(order=ORDER, quantity=24).encode()
    read = page.send("/orders/answer", "/orders/answer", files={"upload": ("answer.csv", answer)})
    assert "24 each to come, not 30" in read.text
    booked = page.send("/orders/answer", "/orders/answer/book", query={"file": "answer.csv"}, who="Ada")
    assert booked.verdict == "The answer answer.csv is booked."
    received = page.send("/receive", "/receive", what=f"{ORDER}/1", quantity="24", who="Ada")
    assert received.verdict == "It is booked as received.", received.text


def count(page: Opened) -> None:
    assert page.send("/count", "/count/write").verdict == "Bin D1"
    assert "7" not in page.get("/count").text.partition("How many")[0]  # what the book says is not shown
    saved = page.send("/count", "/count", counted=COUNTED, counted__by="Ada")
    assert saved.verdict == "Every bin is counted."
    assert "count again" in page.get("/count/judge").text
    assert page.send("/count/judge", "/count/book", trust="yes", who="Ada").verdict == "The count is booked."


def close(page: Opened) -> None:
    week = {"week": "2026-W49"}
    assert page.send("/close", "/close/job", query={**week, "n": "A-101"}, done="yes").status == 200
    clip = row_of(page, "A-102", "CLIP")
    seen = page.send(
        "/close",
        "/close/job",
        query={**week, "n": "A-102"},
        done="yes",
        **{f"Lines:{clip}:used": "5", f"Lines:{clip}:reason": "one broke"},
    )
    assert "A-102 is saved in returns-2026-W49.xlsx" in seen.text
    panel = row_of(page, "A-103", "PAN-10")
    page.send(
        "/close", "/close/job", query={**week, "n": "A-103"}, done="part", **{f"Lines:{panel}:used": "1"}
    )
    page.send("/close", "/close/job", query={**week, "n": "H-1"}, done="no")
    assert "movements would be booked" in page.get("/close/week", **week).verdict
    assert page.send("/close/week", "/close/week", query=week, who="Ada").verdict == "2026-W49 is closed."


def row_of(page: Opened, job: str, part: str) -> int:
    """The row of the line that fits a part."""
    from reconcile.work.entries.returning import LINES, returns_to_fill

    rows = returns_to_fill("2026-W49", page.desk.request).rows(LINES, job)
    return next(row.number for row in rows if (row.of("do"), row.of("part")) == ("fit", part))


def by_page(page: Opened) -> None:
    begin_and_mend(page)
    ask_and_hold(page)
    order_and_receive(page)
    count(page)
    close(page)


@pytest.fixture(scope="module")
def folders(tmp_path_factory):
    place = tmp_path_factory.mktemp("weeks")
    typed, clicked = foreign_shop(place / "typed"), foreign_shop(place / "clicked")
    by_commands(typed)
    by_page(Opened(clicked))
    return state_of(typed), state_of(clicked)


def test_the_same_is_there_as_by_the_commands(folders):
    typed, clicked = folders
    assert clicked.keys() == typed.keys()
    for name, said in typed.items():
        assert clicked[name] == said, name
