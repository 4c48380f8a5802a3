"""A depth is changed once for the chair: asked for in a person's words, and remarked on with two sides."""

import json
import tomllib
from pathlib import Path

from misread_shop import FRAME, JOBS, TUESDAY, call, flowing, shop
from typer.testing import CliRunner

from reconcile.cli import app

DEPTH = FRAME.replace("seat width", "Seat depth")
ANSWERS = [
    "DP-1", "", "sheet 9", "seat depth", "14 in", "18 in", "1/2 in", "{sides}", "y", "depth block", "2", "",
    "1/4-20 UNC", "socket cap", "ASTM A574", "", "1 1/2 in", "", "1 in", "", "", "3/8 in", "5/8 in", "",
    "aluminium", "y", "SP-050", "1/2 in", "n", "n", "n", "", "", "", "", "n", "n", "n", "n", "n", "n", "y",
]  # fmt: skip
"""A frame's questions in turn: its measure, one joint, and no more."""


def asked(folder: Path, *sides: str) -> str:
    """What is said while a frame is asked for; ``sides``: the answers to that question until one will do."""
    at = ANSWERS.index("{sides}")
    lines = [*ANSWERS[:at], *sides, *ANSWERS[at + 1 :]]
    done = CliRunner().invoke(app, ["frames", "--new", "--in", str(folder)], input="\n".join(lines) + "\n")
    assert done.exit_code == 0, done.output
    return flowing(done.output)


def written(folder: Path) -> dict:
    (adjustment,) = tomllib.loads((folder / "frames" / "DP-1.toml").read_text("utf-8"))["adjustment"]
    return adjustment


def test_a_measure_is_asked_about_in_a_persons_words(tmp_path: Path) -> None:
    (tmp_path / "frames").mkdir()
    said = asked(tmp_path, "once")
    assert "changed on the left and on the right by itself" in said
    assert "or once for the chair" in said
    assert "Bolts of the joint on the whole chair, both rails counted" in said
    assert "has two sides" not in said
    assert written(tmp_path)["sides"] == 1


def test_nothing_is_taken_for_an_answer_that_was_not_given(tmp_path: Path) -> None:
    """A blank was two sides, so that who pressed Enter had a depth that is halved."""
    (tmp_path / "frames").mkdir()
    said = asked(tmp_path, "", "perhaps", "once for the chair")
    assert '"perhaps" is neither of the two. Answer left and right, or once.' in said
    assert written(tmp_path)["sides"] == 1


def test_a_depth_with_two_sides_is_remarked_on_at_once(tmp_path: Path) -> None:
    (tmp_path / "frames").mkdir()
    said = asked(tmp_path, "left and right")
    assert '"seat depth" has two sides: each rail gets half of the change.' in said
    assert "Bolts of the joint on each side" in said
    assert written(tmp_path)["sides"] == 2


def test_the_check_remarks_on_it(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", frame=DEPTH)
    done = CliRunner().invoke(app, ["frames", "--check", str(folder / "frames")])
    said = flowing(done.output)
    assert "frame-sides-doubtful" in said
    assert '"Seat depth" has two sides: each rail gets half of the change.' in said
    assert "write sides = 1" in said
    assert done.exit_code == 0  # it may be meant


def test_no_week_and_no_answer_passes_over_it(tmp_path: Path) -> None:
    """14 to 16 in are four steps: two on each rail if it is a width, four on each if it is a depth."""
    folder = shop(tmp_path / "shop", frame=DEPTH)
    for words in (("week", folder, "--dry-run"), ("check", "J-4109", "--in", folder)):
        said = flowing(call(*words, status=0))
        assert "Look at this first" in said
        assert '"Seat depth" has two sides' in said


def test_once_for_the_chair_the_whole_change_is_in_every_stack(tmp_path: Path) -> None:
    once = DEPTH.replace('step = "1/2 in"', 'step = "1/2 in"\nsides = 1').replace("bolts = 1", "bolts = 2")
    jobs = (JOBS, ("J-4109", TUESDAY, "NQ-T1", "14 in", "15 in"))
    folder = shop(tmp_path / "shop", jobs, frame=once)
    assert "has two sides" not in call("check", "J-4109", "--in", folder, status=0)
    (job,) = json.loads(call("week", folder, "--json"))["jobs"]
    (spacers,) = [line for line in job["lines"] if line["what"] == "spacer"]
    assert (spacers["side"], spacers["quantity"], spacers["parts"]) == ("", 2, {"SP-100": 2})
