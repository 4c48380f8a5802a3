"""How long a person waits for an answer, beside the time that importing pandas alone takes.

Every command runs in a fresh process, in turn with all the others, so that a busy machine slows all alike.
Byte code is cached first, as in any install. From the root of the project, with its own Python::

    python tests/bench/answers.py [--rounds 11]
"""

import argparse
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
RECONCILE = "from reconcile.cli import main; main()"
TODAY = ("--today", "2026-11-27")
PLANNED_JOB = "J-4110"
ASKED_JOB = ("--frame", "NQ-T1", "--from", "16 in", "--to", "17 in", "--date", "2026-12-03")
MEASURE = "import pandas"


@dataclass(slots=True)
class Race:
    """A command, the most it may take in times of ``import pandas``, and the seconds of each round."""

    name: str
    words: list[str]
    goal: float | None = None
    out: Path | None = None
    """A folder that the command must find absent."""
    times: list[float] = field(default_factory=list)

    def run(self) -> float:
        """Seconds from the start of the process to its end."""
        if self.out is not None:
            shutil.rmtree(self.out, ignore_errors=True)
        start = time.perf_counter()
        done = subprocess.run(
            [sys.executable, *self.words], cwd=ROOT, env=environment(), capture_output=True, check=False
        )
        seconds = time.perf_counter() - start
        if done.returncode not in (0, 1) or b"Traceback" in done.stderr:  # 1: something is short
            raise SystemExit(f"{self.name} failed:\n{done.stderr.decode()}")
        return seconds


def environment() -> dict[str, str]:
    """Ours, with byte code written: without it every process compiles the whole program anew."""
    return {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def races(folder: Path) -> list[Race]:
    demo, out = folder / "demo", folder / "reports"
    shutil.copytree(ROOT / "data_demo", demo)

    def reconcile(*words: str) -> list[str]:
        return ["-c", RECONCILE, *words]

    return [
        Race("pass", ["-c", "pass"]),
        Race(MEASURE, ["-c", MEASURE]),
        Race("reconcile --help", reconcile("--help")),
        Race("reconcile check JOB", reconcile("check", PLANNED_JOB, "--in", str(demo), *TODAY), 1 / 3),
        Race("reconcile check --frame", reconcile("check", *ASKED_JOB, "--in", str(demo), *TODAY), 1 / 3),
        Race("reconcile week", reconcile("week", str(demo), *TODAY, "--out", str(out)), 1.5, out),
    ]


def table(run: list[Race]) -> str:
    """Median and spread in milliseconds; the ratio is of medians."""
    pandas = next(statistics.median(each.times) for each in run if each.name == MEASURE)
    lines = [f"{'':<24} {'median':>9} {'least':>9} {'most':>9}   x pandas   goal"]
    for each in run:
        median = statistics.median(each.times)
        figures = " ".join(
            f"{1000 * figure:>6.0f} ms" for figure in (median, min(each.times), max(each.times))
        )
        goal = (
            ""
            if each.goal is None
            else f"{each.goal:>7.2f} {'' if median <= each.goal * pandas else 'MISSED'}"
        )
        lines.append(f"{each.name:<24} {figures} {median / pandas:>10.2f}{goal}".rstrip())
    return "\n".join(lines)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--rounds", type=int, default=11)
    rounds = asked.parse_args().rounds
    with tempfile.TemporaryDirectory() as folder:
        os.environ["RECONCILE_CACHE"] = str(Path(folder) / "choices")  # remembers this run's choices only
        run = races(Path(folder))
        for each in run:
            each.run()  # caches byte code, and brings the files into memory
        for _ in range(rounds):
            for each in run:
                each.times.append(each.run())
    print(table(run))


if __name__ == "__main__":
    main()
