"""The page as a program: it starts on this machine alone, says where, and ends when it is told to."""

import http.client
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from urllib.parse import urlencode

import pytest
from lxml import html
from open_page import DEMO

RUN = "from reconcile.cli import main; main()"
ENDS = 30


@pytest.fixture
def folder(tmp_path):
    return shutil.copytree(DEMO, tmp_path / "workshop")


@contextmanager
def served(folder, *words: str) -> Iterator[tuple[subprocess.Popen, str]]:
    """The program, and the address that it says."""
    call = (sys.executable, "-c", RUN, "open", str(folder), "--no-browser", "--today", "2026-11-27", *words)
    running = subprocess.Popen(call, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        found = re.search(r"http://127\.0\.0\.1:\d+/\?key=\S+", running.stdout.readline())
        assert found is not None
        yield running, found[0]
    finally:
        with suppress(ProcessLookupError):
            running.kill()
        running.communicate()


def port_of(address: str) -> int:
    return int(re.search(r":(\d+)/", address)[1])


def let_in(address: str) -> tuple[http.client.HTTPConnection, str]:
    connection = http.client.HTTPConnection("127.0.0.1", port_of(address), timeout=ENDS)
    connection.request("GET", address[address.index("/?") :])
    answer = connection.getresponse()
    answer.read()
    assert answer.status == 303
    return connection, answer.headers["Set-Cookie"].partition(";")[0]


def page_of(connection, cookie: str, path: str) -> str:
    connection.request("GET", path, headers={"Cookie": cookie})
    return connection.getresponse().read().decode()


def send(address: str, connection, cookie: str, path: str, **typed: str) -> int:
    token = re.search(r'name="token" value="([^"]+)"', page_of(connection, cookie, "/ask"))[1]
    headers = {
        "Cookie": cookie,
        "Origin": f"http://127.0.0.1:{port_of(address)}",
        "Content-Type": "application/x-www-form-urlencoded",
    }
    connection.request("POST", path, urlencode({"token": token, **typed}), headers)
    answer = connection.getresponse()
    answer.read()
    return answer.status


def test_it_starts_shows_the_week_and_ends_with_its_button(folder):
    with served(folder) as (running, address):
        connection, cookie = let_in(address)
        for _ in range(200):
            if "kits complete" in page_of(connection, cookie, "/today"):
                break
            time.sleep(0.1)
        assert "23 of 39 kits" in re.sub(r"<[^>]+>", "", page_of(connection, cookie, "/today"))
        assert send(address, connection, cookie, "/stop") == 200
        assert running.wait(ENDS) == 0
        assert running.stdout.read().endswith("Stopped.\n")
        assert running.stderr.read() == ""


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_it_ends_when_it_is_told_to(folder, number):
    with served(folder) as (running, address):
        let_in(address)[0].close()
        running.send_signal(number)
        running.wait(ENDS)
        assert "Traceback" not in running.stderr.read()


def test_it_listens_on_this_machine_alone(folder):
    with served(folder) as (_, address):
        port = port_of(address)
        with socket.create_connection(("127.0.0.1", port), timeout=5):
            pass
        for other in other_addresses():
            with pytest.raises(OSError), socket.create_connection((other, port), timeout=2):
                pass


def other_addresses() -> list[str]:
    """Addresses under which other machines see this one."""
    found = set()
    with suppress(OSError):
        found |= {each[4][0] for each in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)}
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asks:
        asks.connect(("192.0.2.1", 9))  # nothing is sent: it only tells which address would be used
        found.add(asks.getsockname()[0])
    return sorted(each for each in found if not each.startswith("127."))


def test_a_port_that_is_taken_is_said(folder):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        words = (sys.executable, "-c", RUN, "open", str(folder), "--no-browser", "--port", str(port))
        done = subprocess.run(words, capture_output=True, text=True, check=False, timeout=ENDS)
    assert done.returncode == 2
    assert f"The port {port} cannot be listened on" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_gigabyte_is_turned_away_at_once(folder):
    with served(folder) as (running, address):
        connection, cookie = let_in(address)
        origin = f"http://127.0.0.1:{port_of(address)}"
        head = (
            f"POST /orders/answer HTTP/1.1\r\nHost: {origin[7:]}\r\nOrigin: {origin}\r\nCookie: {cookie}\r\n"
            "Content-Type: multipart/form-data; boundary=b\r\nContent-Length: 1000000000\r\n\r\n"
        )
        start = time.monotonic()
        with socket.create_connection(("127.0.0.1", port_of(address)), timeout=ENDS) as raw:
            raw.sendall(head.encode())
            assert raw.recv(100).startswith(b"HTTP/1.1 413")
        assert time.monotonic() - start < 10
        assert "Ask" in page_of(connection, cookie, "/ask")  # it goes on
        assert running.poll() is None


@pytest.mark.slow
def test_ten_thousand_requests_leave_it_as_it_was(folder):
    """Answered all, with no more memory and no more open files than after the first hundred."""
    with served(folder) as (running, address):
        connection, cookie = let_in(address)
        for _ in range(200):
            page_of(connection, cookie, "/today")
        before = usage_of(running.pid)
        for number in range(10_000):
            path = ("/state", "/ask", "/parts?q=spacer", "/style.css")[number % 4]
            connection.request("GET", path, headers={"Cookie": cookie})
            answer = connection.getresponse()
            answer.read()
            assert answer.status == 200
        after = usage_of(running.pid)
        assert after[0] <= before[0] + 20
        assert after[1] <= before[1] + 2


def usage_of(pid: int) -> tuple[int, int]:
    """Megabytes and open files; nothing where the system does not tell."""
    from pathlib import Path

    status = Path(f"/proc/{pid}/status")
    if not status.exists():
        return 0, 0
    size = re.search(r"VmRSS:\s+(\d+)", status.read_text("utf-8"))
    return int(size[1]) // 1024, len(list(Path(f"/proc/{pid}/fd").iterdir()))


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
@pytest.mark.slow
def test_what_was_shown_as_saved_is_there_after_it_is_killed(folder):
    """Killed at moments spread over a row of savings: whatever was answered as saved is in the workbook."""
    with served(folder) as (_, address):
        connection, cookie = let_in(address)
        assert send(address, connection, cookie, "/orders/write") == 200
    for pause in (0.0, 0.02, 0.05, 0.1, 0.3, 0.6):
        with served(folder) as (running, address):
            connection, cookie = let_in(address)
            text = page_of(connection, cookie, "/close")
            while "/close/job" not in text:
                time.sleep(0.1)
                text = page_of(connection, cookie, "/close")
            said = saving_until_killed(address, connection, cookie, running, pause)
        for job, name in said:
            assert done_by(folder)[job] == name


def saving_until_killed(address, connection, cookie, running, pause: float) -> list[tuple[str, str]]:
    """Says job after job; the program is killed so long after the third of them began."""
    import threading

    said: list[tuple[str, str]] = []
    with suppress(http.client.HTTPException, OSError, AttributeError):
        for number in range(8):
            page = html.fromstring(page_of(connection, cookie, "/close"))
            form = next(each for each in page.forms if each.get("action") == "/close/job")
            filled = {name: value or "" for name, value in form.form_values() if name}
            filled |= {"done": "yes", "done by": f"Ada {pause} {number}"}
            if number == 2:
                threading.Timer(pause, running.kill).start()
            if send(address, connection, cookie, "/close/job", **filled) == 303:
                said.append((filled["n"], filled["done by"]))
    running.wait(ENDS)
    assert said
    return said


def done_by(folder) -> dict[str, str]:
    import openpyxl

    rows = openpyxl.load_workbook(folder / "reports" / "returns-2026-W49.xlsx")["Done"].iter_rows(
        values_only=True
    )
    return {row[1]: row[7] for row in rows}
