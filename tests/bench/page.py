"""What the page costs: the first page after a change of a file, each page after that, and *Ask*; and memory.

On the demo, and on 20,000 parts with 5,000 jobs. The page runs in a process of its own and is asked as a
browser asks it; ``check`` answers the same question beside it. From the root of the project::

    python tests/bench/page.py [--rounds 11] [--demo-alone]
"""

import argparse
import http.client
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

sys.path.insert(0, str(Path(__file__).resolve().parent))
import scale

ROOT = Path(__file__).resolve().parents[2]
TODAY = "2026-11-27"
JOBS = 5_000
RECONCILE = (sys.executable, "-c", "from reconcile.cli import main; main()")


@dataclass(slots=True)
class Workshop:
    """A workshop, and what is asked of it."""

    name: str
    folder: Path
    job: str
    part: str
    question: dict[str, str]
    sizes: list[str] = field(default_factory=list)
    """Sizes asked for in turn, so that no answer is the one before."""


def demo(folder: Path) -> Workshop:
    shutil.copytree(ROOT / "data_demo", folder)
    asked = {"frame": "NQ-T1", "measure": "seat width", "from": "16 in", "day": "2026-12-03"}
    sizes = ["17 in", "17 1/2 in", "18 in", "15 in", "15 1/2 in"]
    return Workshop("demo", folder, "J-4110", "B14-250", asked, sizes)


def large(folder: Path) -> Workshop:
    folder.mkdir()
    scale.write_frames(folder / "frames")
    scale.write_book(folder / "jobs.xlsx", {"Jobs": scale.job_rows(JOBS, year=False)})
    scale.write_book(folder / "stock.xlsx", {"Stock": scale.stock_rows(), "On order": scale.order_rows()})
    asked = {"frame": "KD-10", "measure": "seat width", "from": "16 in", "day": "2026-12-03"}
    sizes = ["17 in", "18 in", "15 in", "19 in", "20 in"]
    return Workshop("20,000 parts, 5,000 jobs", folder, "J-000001", "TL-MED", asked, sizes)


class Browser:
    """Asks the page over one connection, with its cookie."""

    def __init__(self, address: str) -> None:
        found = re.match(r"http://([^/]+)(/.*)", address)
        assert found is not None
        self.host = found[1]
        self.connection = http.client.HTTPConnection(self.host)
        self.cookie = ""
        self.connection.request("GET", found[2])
        answer = self.connection.getresponse()
        answer.read()
        self.cookie = answer.headers["Set-Cookie"].partition(";")[0]

    def get(self, path: str) -> tuple[float, str]:
        start = time.perf_counter()
        self.connection.request("GET", path, headers={"Cookie": self.cookie})
        text = self.connection.getresponse().read().decode()
        return time.perf_counter() - start, text

    def wait_for_plan(self) -> float:
        start = time.perf_counter()
        while '"ready":true' not in self.get("/state")[1]:
            time.sleep(0.02)
        return time.perf_counter() - start


@contextmanager
def page_of(workshop: Workshop) -> Iterator[tuple[Browser, int]]:
    words = (*RECONCILE, "open", str(workshop.folder), "--no-browser", "--today", TODAY)
    running = subprocess.Popen(words, stdout=subprocess.PIPE, text=True)
    try:
        assert running.stdout is not None
        found = re.search(r"http://\S+", running.stdout.readline())
        assert found is not None
        yield Browser(found[0]), running.pid
    finally:
        running.terminate()
        running.wait(20)


def megabytes(pid: int) -> dict[str, int]:
    text = Path(f"/proc/{pid}/status").read_text("utf-8")
    return {name: int(size) // 1024 for name, size in re.findall(r"Vm(RSS|HWM):\s+(\d+)", text)}


def processor_seconds(pid: int) -> float:
    """What the page has used of processors: on a machine that is kept busy, that tells more than a clock."""
    fields = Path(f"/proc/{pid}/stat").read_text("utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def middle(times: list[float]) -> str:
    return f"{1000 * statistics.median(times):8.0f} ms  (most {1000 * max(times):.0f})"


def measure(workshop: Workshop, rounds: int) -> None:
    print(workshop.name)
    with page_of(workshop) as (browser, pid):
        print(f"  first plan, from nothing        {1000 * browser.wait_for_plan():8.0f} ms")
        changes = [after_a_change(workshop, browser) for _ in range(min(rounds, 5))]
        print(f"  first page after a change       {middle(changes)}")
        for name, path in pages_of(workshop):
            browser.get(path)
            print(f"  {name:<30}  {middle([browser.get(path)[0] for _ in range(rounds)])}")
        before = processor_seconds(pid)
        asks = [asked_once(workshop, browser, number) for number in range(rounds)]
        used = (processor_seconds(pid) - before) / rounds
        print(f"  Ask, the very first             {1000 * asks[0]:8.0f} ms")
        print(f"  Ask, each after that            {middle(asks[1:])}")
        print(f"  Ask, of processor time each     {1000 * used:8.0f} ms")
        print(f"  memory, MB                      {megabytes(pid)}")
    checks = [checked_once(workshop, number) for number in range(min(rounds, 5))]
    print(f"  check, the command              {middle(checks)}")


def pages_of(workshop: Workshop) -> tuple[tuple[str, str], ...]:
    return (
        ("Today", "/today"),
        ("Jobs", "/jobs"),
        ("a job", f"/job?n={workshop.job}"),
        ("Parts", "/parts"),
        ("a part", f"/part?n={workshop.part}"),
        ("Orders", "/orders"),
        ("Mend", "/mend"),
        ("Ask, the form", "/ask"),
    )


def after_a_change(workshop: Workshop, browser: Browser) -> float:
    """Until the new answer stands there."""
    os.utime(workshop.folder / "jobs.xlsx", (time.time(), time.time()))
    start = time.perf_counter()
    browser.get("/today")
    browser.wait_for_plan()
    browser.get("/today")
    return time.perf_counter() - start


def asked_once(workshop: Workshop, browser: Browser, number: int) -> float:
    size = workshop.sizes[number % len(workshop.sizes)]
    seconds, text = browser.get(f"/ask?{urlencode({**workshop.question, 'to': size, 'go': '1'})}")
    assert 'id="kit"' in text, text[:2000]
    return seconds


def checked_once(workshop: Workshop, number: int) -> float:
    asked, size = workshop.question, workshop.sizes[number % len(workshop.sizes)]
    told = {"--in": str(workshop.folder), "--today": TODAY, "--frame": asked["frame"], "--to": size}
    told |= {"--from": asked["from"], "--date": asked["day"]}
    words = [word for pair in told.items() for word in pair]
    start = time.perf_counter()
    subprocess.run((*RECONCILE, "check", *words), capture_output=True, check=False)
    return time.perf_counter() - start


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--rounds", type=int, default=11)
    asked.add_argument("--demo-alone", action="store_true")
    wanted = asked.parse_args()
    with tempfile.TemporaryDirectory() as place:
        os.environ["RECONCILE_CACHE"] = f"{place}/cache"
        measure(demo(Path(place) / "demo"), wanted.rounds)
        if not wanted.demo_alone:
            measure(large(Path(place) / "large"), wanted.rounds)


if __name__ == "__main__":
    main()
