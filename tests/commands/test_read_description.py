"""The command that shows what is read of a description: first line, exit status, what it loads."""

import json
import subprocess
import sys

import pytest

LOADED = """
import sys
sys.argv = ["reconcile", *sys.argv[1:]]
from reconcile.cli import main
try:
    main()
except SystemExit as end:
    print(end.code)
print(*sorted({name.partition(".")[0] for name in sys.modules}), file=sys.stderr)
"""


def run(*words):
    """The exit status, the lines of the answer, and the packages loaded."""
    done = subprocess.run(
        [sys.executable, "-c", LOADED, "read-description", *words], capture_output=True, text=True, check=True
    )
    *answer, status = done.stdout.splitlines()
    return int(status), answer, done.stderr.splitlines()


@pytest.mark.slow
@pytest.mark.parametrize(
    ("text", "status", "first"),
    [
        (
            "SHCS 1/4-20 x 2-1/2 BLK OX",
            0,
            "A bolt, read whole: 1/4-20 UNC x 2 1/2 in, socket cap.",
        ),
        ("flat washer #10 .032 thk", 0, "A washer, read whole."),
        ("SHCS 1/4-20 x 2-12", 1, 'A bolt, not read: "2-12" is not a length that can be read.'),
        ("SHCS 1/4 x 2", 1, "A bolt, not read whole: thread and length cannot be told."),
        ("SHCS M6 x 30 qty 9", 1, "A bolt, but not all of the text was understood."),
        ("nut 1/4", 1, "A nut, not read whole: thread cannot be told."),
        ("hello", 1, "No fastener: nothing here says what it is."),
    ],
)
def test_the_verdict_comes_first_and_the_status_says_the_same(text, status, first):
    found, answer, _ = run(text)
    assert (found, answer[0]) == (status, first)


def test_words_without_quotes_are_one_description():
    assert run("SHCS", "M6", "x", "30") == run("SHCS M6 x 30")


def test_one_object_and_nothing_else():
    status, answer, _ = run("SHCS M6 x 30", "--json")
    told = json.loads("\n".join(answer))
    assert (status, told["schema"], told["whole"], told["designation"]) == (
        0,
        1,
        True,
        "M6 x 30 mm, socket cap",
    )


@pytest.mark.parametrize("words", [(" ",), ("\u00a0\u200b",), ("", "--json")])
def test_a_blank_description_is_an_unusable_call(words):
    status, answer, told = run(*words)
    assert status == 2
    assert any("The description is blank." in line for line in (*answer, *told))


def test_it_loads_none_of_the_heavy_libraries():
    _, _, told = run("SHCS M6 x 30")
    loaded = set(told[-1].split())
    assert "reconcile" in loaded
    assert loaded & {"pandas", "pint", "numpy", "openpyxl", "highspy", "pydantic"} == set()


def test_help_starts_with_examples():
    _, answer, _ = run("--help")
    assert "For example:" in "\n".join(answer).split("Arguments:")[0]
