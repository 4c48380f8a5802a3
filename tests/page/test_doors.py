"""Who is let in: nobody but who has the key, from our own pages, with forms of ours, and never too much."""

import asyncio

import pytest
from open_page import Opened, opened_demo

from reconcile.page.app import READ, STATIC, WRITE, made_app
from reconcile.page.doors import HEADERS, MOST_BYTES, Doors, Keys

SECRET = "NQ-T1"
"""Of the workshop: whoever is kept out must not see it."""


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> Opened:
    return opened_demo(tmp_path_factory.mktemp("doors") / "workshop")


def test_the_address_with_the_key_lets_in_and_is_left_at_once(demo):
    answer = demo.stranger().get(f"/?key={demo.keys.key}", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/today")
    cookie = answer.headers["set-cookie"].lower()
    assert cookie.startswith(f"reconcile-{demo.keys.port}=")
    assert "httponly" in cookie and "samesite=strict" in cookie and "path=/" in cookie
    assert demo.keys.key not in answer.headers["set-cookie"]


@pytest.mark.parametrize("path", sorted({*READ, *STATIC, "/style.css"}))
def test_without_the_cookie_nothing_is_shown(demo, path):
    answer = demo.stranger().get(path)
    assert answer.status_code == 403
    assert SECRET not in answer.text


@pytest.mark.parametrize("key", ["", "wrong", "é"])
def test_a_wrong_key_lets_nobody_in(demo, key):
    answer = demo.stranger().get("/", params={"key": key}, follow_redirects=False)
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


def test_a_cookie_of_another_run_is_of_no_use(demo):
    stranger = demo.stranger()
    stranger.cookies.set(demo.keys.cookie, Keys(demo.keys.port).ticket)
    assert stranger.get("/today").status_code == 403


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:8000", "127.0.0.1", "127.0.0.1:80", "localhost:8000", ""]
)
def test_another_host_is_not_answered_whatever_it_knows(demo, host):
    answer = demo.client.get("/today", headers={"host": host})
    assert answer.status_code == 400
    assert SECRET not in answer.text


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "http://127.0.0.1:9", "https://127.0.0.1:8000"]
)
@pytest.mark.parametrize("path", sorted(WRITE))
def test_a_form_from_another_page_does_nothing(demo, path, origin):
    answer = demo.client.post(path, data={"token": demo.keys.token}, headers={"origin": origin})
    assert answer.status_code == 403
    assert demo.stopped == []


def test_another_page_is_not_even_shown_anything(demo):
    assert demo.client.get("/today", headers={"origin": "http://evil.example"}).status_code == 403


def test_a_form_of_which_nothing_says_where_it_comes_from_does_nothing(demo):
    del demo.client.headers["origin"]
    try:
        assert demo.client.post("/stop", data={"token": demo.keys.token}).status_code == 403
    finally:
        demo.client.headers["origin"] = demo.keys.origin
    assert demo.stopped == []


@pytest.mark.parametrize("token", [None, "", "wrong", "é"])
@pytest.mark.parametrize("path", sorted(WRITE))
def test_a_form_without_our_token_does_nothing(demo, path, token):
    answer = demo.client.post(path, data={} if token is None else {"token": token})
    assert answer.status_code == 403
    assert demo.stopped == []


@pytest.mark.parametrize("path", sorted(WRITE))
def test_nothing_is_changed_by_following_a_link(demo, path):
    answer = demo.client.get(path, params={"token": demo.keys.token}, follow_redirects=False)
    assert answer.status_code in ((200, 303, 404, 422) if path in READ else (404,))
    assert demo.stopped == []


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_other_requests_are_unknown(demo, method):
    assert demo.client.request(method, "/today").status_code == 405


@pytest.mark.parametrize("path", ["/today", "/style.css", "/nothing-here"])
def test_every_answer_has_the_headers_that_bind_a_browser(demo, path):
    for answer in (demo.client.get(path), demo.stranger().get(path)):
        for name, value in HEADERS.items():
            assert answer.headers[name] == value


def test_no_page_has_script_style_or_address_of_its_own(demo):
    for path in ("/today", "/ask", "/job?n=J-4110", "/part?n=B14-250", "/orders", "/mend", "/begin"):
        text = demo.client.get(path).text
        assert "<style" not in text and " style=" not in text and " onclick=" not in text
        assert text.count("<script") == 1 and '<script src="/page.js" defer></script>' in text
        assert "http://" not in text.replace("http://www.w3.org/2000/svg", "") and "https://" not in text


def test_an_address_that_is_too_long_is_not_looked_at(demo):
    assert demo.client.get("/parts", params={"q": "x" * 9000}).status_code == 414


# --- how much is taken in -----------------------------------------------------------------------------


@pytest.mark.parametrize("length", [str(MOST_BYTES + 1), "1000000000", "9" * 30])
def test_what_says_that_it_is_too_long_is_not_read(demo, length):
    async def ask() -> int:
        return await status_of(demo, [], length)

    assert asyncio.run(ask()) == 413


def test_what_says_nothing_of_its_length_is_cut_off(demo):
    """A gigabyte in pieces: not much more than the bound is ever taken."""
    taken = []

    def pieces():
        for number in range(1000):
            taken.append(number)
            yield b"x" * 1_000_000

    assert asyncio.run(status_of(demo, pieces(), None)) == 413
    assert len(taken) <= MOST_BYTES // 1_000_000 + 2


async def status_of(demo: Opened, pieces, length: str | None) -> int:
    """The status of a form with a file, sent piece by piece."""
    boundary = b'--b\r\nContent-Disposition: form-data; name="upload"; filename="a.csv"\r\n\r\n'
    body = iter([boundary, *pieces] if isinstance(pieces, list) else chain_of(boundary, pieces))
    headers = [
        (b"host", f"127.0.0.1:{demo.keys.port}".encode()),
        (b"origin", demo.keys.origin.encode()),
        (b"cookie", f"{demo.keys.cookie}={demo.keys.ticket}".encode()),
        (b"content-type", b"multipart/form-data; boundary=b"),
    ]
    headers += [(b"content-length", length.encode())] if length else []
    scope = {
        "type": "http",
        "method": "POST",
        "path": "/orders/answer",
        "raw_path": b"/orders/answer",
        "root_path": "",
        "query_string": b"",
        "headers": headers,
        "http_version": "1.1",
        "scheme": "http",
        "server": ("127.0.0.1", 8000),
    }
    said = []

    async def receive():
        piece = next(body, None)
        return {"type": "http.request", "body": piece or b"", "more_body": piece is not None}

    async def send(message):
        said.append(message)

    await made_app(demo.desk)(scope, receive, send)
    return said[0]["status"]


def chain_of(first, rest):
    yield first
    yield from rest


def test_a_form_with_too_many_fields_is_none_of_ours(demo):
    many = {f"f{number}": "1" for number in range(20_100)}
    assert demo.client.post("/count", data={"token": demo.keys.token, **many}).status_code == 403


def test_a_field_that_is_too_long_is_not_taken(demo):
    assert demo.post("/receive", reason="x" * 30_000).status in (403, 413)


def test_a_socket_is_closed(demo):
    said = []

    async def ask():
        async def receive():
            return {"type": "websocket.connect"}

        async def send(message):
            said.append(message["type"])

        await Doors(made_app(demo.desk), demo.keys)({"type": "websocket", "headers": []}, receive, send)

    asyncio.run(ask())
    assert said == ["websocket.close"]


# --- names that lead elsewhere --------------------------------------------------------------------------

ELSEWHERE = (
    "../../../etc/passwd",
    "..\\..\\stock.xlsx",
    "/etc/passwd",
    "stock.xlsx",
    "../stock.xlsx",
    "a\x00b",
    "%2e%2e%2fx",
)


@pytest.mark.parametrize("name", ELSEWHERE)
@pytest.mark.parametrize(
    ("path", "field"),
    [
        ("/orders/answer", "file"),
        ("/order", "n"),
        ("/close", "week"),
        ("/close/deliveries", "week"),
        ("/close/week", "week"),
        ("/undo", "n"),
        ("/job", "n"),
        ("/part", "n"),
        ("/count", "row"),
        ("/receive", "n"),
    ],
)
def test_no_name_in_an_address_opens_a_file(demo, path, field, name):
    seen = demo.get(path, **{field: name})
    assert seen.status in (200, 422)
    assert "root:" not in seen.html and "own-fault" not in seen.html


@pytest.mark.parametrize("name", ELSEWHERE)
@pytest.mark.parametrize(
    ("path", "field"),
    [
        ("/order/change", "n"),
        ("/order/place", "n"),
        ("/order/give-up", "n"),
        ("/orders/answer/book", "file"),
        ("/receive", "what"),
        ("/mend/length", "where"),
        ("/mend/heading", "theirs"),
        ("/mend/sheet", "theirs"),
        ("/undo", "n"),
        ("/release", "n"),
        ("/close/job", "week"),
        ("/close/deliveries", "week"),
        ("/close/week", "week"),
        ("/count", "row"),
        ("/ask/hold", "frame"),
    ],
)
def test_no_name_in_a_form_opens_or_writes_a_file(demo, path, field, name):
    before = {each: each.read_bytes() for each in demo.folder.rglob("*") if each.is_file()}
    seen = demo.post(path, **{field: name})
    assert seen.status == 422
    assert "root:" not in seen.html and "own-fault" not in seen.html
    assert {each: each.read_bytes() for each in demo.folder.rglob("*") if each.is_file()} == before


@pytest.mark.parametrize(
    "name", ["../../evil.csv", "/tmp/evil.csv", "..\\evil.csv", ".evil.csv", "CON.csv", "a/b/evil.csv"]
)
def test_a_file_that_is_handed_over_gets_a_name_of_ours(tmp_path, name):
    opened = opened_demo(tmp_path / "workshop")
    before = set(tmp_path.rglob("*"))
    opened.send("/orders/answer", "/orders/answer", files={"upload": (name, b"order,quantity\nX,1\n")})
    new = [each for each in set(tmp_path.rglob("*")) - before if each.is_file()]
    assert len(new) == 1
    assert new[0].parent == opened.folder / "reports" / "answers"


@pytest.mark.parametrize("name", ["evil.html", "evil", "evil.csv.exe", "page.js"])
def test_a_file_of_another_kind_is_not_kept(tmp_path, name):
    opened = opened_demo(tmp_path / "workshop")
    seen = opened.send("/orders/answer", "/orders/answer", files={"upload": (name, b"<script>")})
    assert seen.status == 422
    assert not (opened.folder / "reports").exists()
