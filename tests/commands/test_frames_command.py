"""``reconcile frames`` and ``reconcile blank`` as a person meets them."""

import os
import re
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest
from test_command_line import UNUSABLE, call, refused

from reconcile.reports.frames.screen import laid_out
from reconcile.sheets.frames.files import read_frame

ROOT = Path(__file__).resolve().parents[2]
FRAMES = ROOT / "data_demo" / "frames"
SHOP = ("--frames", FRAMES)
HEAVY = {"pandas", "numpy", "openpyxl", "pint", "highspy", "scipy", "pydantic", "jinja2", "python_calamine"}
NEW = [
    "AB-1", "Frame of two sizes", "sheet 3", "seat width", "14 in", "15 in", "1/2 in", "2",
    "y", "upper", "1", "", "1/4-20", "socket cap", "SAE 8", "", "1 1/2 in", "", "1 in", "", "",
    "3/8 in", "", "5/8 in", "steel",
    "y", "SP-050", "1/2 in", "n", "n", "n", "y", "y", "", "",
    "n", "n", "n", "n", "n", "n",
]  # fmt: skip
"""Every answer up to the question whether to write."""


@pytest.fixture
def faulty(tmp_path: Path) -> Path:
    """A folder with one frame that is fine and one with three faults."""
    folder = tmp_path / "frames"
    folder.mkdir()
    text = (FRAMES / "NQ-T1.toml").read_text("utf-8")
    (folder / "OS-X3.toml").write_bytes((FRAMES / "OS-X3.toml").read_bytes())
    bad = text.replace('"1/4-20 UNC"', '"1/4-22"', 1).replace("stacks       = 2", "stakcs       = 2")
    (folder / "NQ-T1.toml").write_text(
        bad.replace('to = 4, part = "CP-34"', 'to = 3, part = "CP-34"'), "utf-8"
    )
    return folder


def narrow(text: str) -> None:
    assert [line for line in text.splitlines() if len(line) > 80] == []
    assert text.replace("N·m", "").isascii()


# --- the list and the tables ----------------------------------------------------------------------------


def test_the_list_names_every_frame_and_its_joints() -> None:
    answer = call("frames", *SHOP)
    assert answer.status == 0
    assert answer.out.startswith(
        """\
BD-A4: Rigid frame, depth block and folding back  (BD-A4.toml)
  seat depth: 15 in to 17 in by 1/2 in, 0 to 4 steps, a single stack; 1 joint:
    depth block
"""
    )
    narrow(answer.out)


def test_the_list_counts_the_faults_of_a_file_that_is_not_used(faulty: Path) -> None:
    answer = call("frames", "--frames", faulty)
    assert answer.status == 0
    assert answer.out.endswith(
        "NQ-T1.toml: 3 faults; it is not used.\nreconcile frames --check FILE explains them.\n"
    )


def test_a_frame_is_shown_joint_by_joint_and_step_by_step() -> None:
    answer = call("frames", "nq-t1", *SHOP)
    assert (answer.status, answer.err) == (0, "")
    assert (
        """\
upper rear: 1 bolt and 1 stack a side, 1/4-20 UNC, socket cap, ASTM A574, black
  oxide, into aluminium; at most 2 pieces in a stack
  torque 9 N·m (source: demo build sheet 12, issue C (invented))
  note: clean the tapped end; new locker on a dry thread
  engages 1/2 in at every step; at least 3/8 in; at most 0.575 in; depth 5/8 in,
    of which a pitch stays clear
  step  size   bolt      grip      window             spacers a stack
  0     14 in  1 in      1/2 in    7/8 to 1.075 in    none
  1     15 in  1 1/2 in  1 in      1 3/8 to 1.575 in  SP-050
  2     16 in  2 in      1 1/2 in  1 7/8 to 2.075 in  SP-100
"""
        in answer.out
    )
    narrow(answer.out)
    assert "Follow the frame maker's instructions." in answer.out


@pytest.mark.parametrize("code", ["BD-A4", "KD-W5", "NQ-T1", "OS-X3", "VL-M2"])
def test_every_demo_frame_fits_the_screen(code: str) -> None:
    answer = call("frames", code, *SHOP)
    assert answer.status == 0
    narrow(answer.out)


def test_steps_that_ask_for_the_same_share_a_row() -> None:
    assert (
        "  0 to 4  15 in to 19 in  1 1/4 in  3/4 in  1 1/8 to 1.325 in" in call("frames", "OS-X3", *SHOP).out
    )


def test_a_length_that_is_not_made_is_marked_and_its_substitute_named() -> None:
    shown = call("frames", "KD-W5", *SHOP).out
    assert "  1     375 mm  62.5 mm*   65 mm   48.5 mm  56.5 to 67.25 mm    SPM-125" in shown
    assert "* no preferred length (ISO 888, from memory)." in shown
    assert "A length to buy is a substitute: a qualified technician must agree to it." in shown


def test_options_narrow_the_tables_to_one_each() -> None:
    both, one = (
        call("frames", "NQ-T1", *SHOP).out,
        call("frames", "NQ-T1", *SHOP, "--options", "Front Rigging").out,
    )
    assert (both.count("Without options that lengthen it"), one.count("Without options")) == (1, 0)
    assert one.count("With front rigging") == 1


def test_an_option_that_is_misspelt_is_refused_with_the_nearest() -> None:
    answer = call("frames", "NQ-T1", *SHOP, "--options", "front riging")
    refused(answer, "call-unusable", "knows no option 'front riging'. Nearest: front rigging.")


def test_a_code_that_is_misspelt_is_refused_with_the_nearest() -> None:
    refused(call("frames", "NQT1", *SHOP), "call-unusable", "There is no frame 'NQT1' in", "Nearest: NQ-T1.")


def test_a_faulty_frame_is_refused_with_its_faults(faulty: Path) -> None:
    refused(call("frames", "NQ-T1", "--frames", faulty), "frame-thread", "No standard series lists 1/4-22")


def test_a_file_whose_name_has_an_and_in_it_says_its_faults_too(faulty: Path) -> None:
    (faulty / "NQ-T1.toml").rename(faulty / "left and right.toml")
    refused(call("frames", "NQ-T1", "--frames", faulty), "frame-thread", "No standard series lists 1/4-22")


def test_two_files_of_one_code_say_the_faults_of_both(faulty: Path) -> None:
    (faulty / "left and right.toml").write_bytes((faulty / "NQ-T1.toml").read_bytes())
    answer = call("frames", "NQ-T1", "--frames", faulty)
    refused(answer, "frame-doubled", "left and right.toml", "also that of NQ-T1.toml")


def test_a_torque_that_is_not_given_is_said_to_be_none(tmp_path: Path) -> None:
    text = re.sub("torque .*\n", "", (FRAMES / "OS-X3.toml").read_text("utf-8"))
    (tmp_path / "OS-X3.toml").write_text(text, "utf-8")
    shown = call("frames", "OS-X3", "--frames", tmp_path).out
    assert shown.count("torque: not given") == 2
    assert "N·m" not in shown


def test_what_the_file_leaves_open_is_said(tmp_path: Path) -> None:
    text = (FRAMES / "BD-A4.toml").read_text("utf-8")
    text = text.replace('engagement = { minimum = "19/64 in", depth = "1/2 in" }\n', "")
    nut = next(line for line in text.splitlines() if line.startswith("nut "))
    text = text.replace(nut, 'engagement = { maximum = "5/8 in" }\ninto = "steel"')
    (tmp_path / "BD-A4.toml").write_text(text, "utf-8")
    shown = " ".join(call("frames", "BD-A4", "--frames", tmp_path).out.split())
    assert "The least engagement is common practice, not the frame maker's figure." in shown
    assert "Engagement is not bounded on both sides: only the exact length serves." in shown


def test_the_last_column_wraps_and_then_goes_below_but_no_part_is_cut() -> None:
    parts = " + ".join(["A" * 14, "B" * 14])
    wraps = list(laid_out(["step", "spacers"], [["0" * 50, parts]]))
    assert wraps[1] == f"  {'0' * 50}  {'A' * 14} +\n{' ' * 54}{'B' * 14}"
    below = list(laid_out(["step", "spacers"], [["0" * 66, parts]]))
    assert below == [
        f"  {'step'}", f"{' ' * 10}spacers", f"  {'0' * 66}", f"{' ' * 10}{parts}",
    ]  # fmt: skip


# --- the drawings ---------------------------------------------------------------------------------------


class Page(HTMLParser):
    """Counts a page's elements and what it asks of elsewhere."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.outside: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        named = [value or "" for name, value in attrs if name in ("href", "src")]
        self.outside += [each for each in named if not each.startswith("#")]


def test_the_page_has_a_drawing_for_each_joint_and_step(tmp_path: Path) -> None:
    path = tmp_path / "drawn.html"
    answer = call("frames", "NQ-T1", *SHOP, "--out", path)
    assert (answer.status, answer.out.rstrip().splitlines()[-1]) == (0, f"Written: {path}")
    page = Page()
    text = path.read_text("utf-8")
    page.feed(text)
    # Four joints of six steps, one of them with an option too.
    assert page.tags.count("figure") == 5 * 6
    assert page.outside == []
    assert {"script", "link", "img"} & set(page.tags) == set()
    assert "Torque 9 N·m (source: demo build sheet 12, issue C (invented))" in text


def test_a_page_that_is_there_is_not_replaced(tmp_path: Path) -> None:
    path = tmp_path / "drawn.html"
    path.write_text("mine", "utf-8")
    answer = call("frames", "OS-X3", *SHOP, "--out", path)
    assert answer.status == UNUSABLE
    assert "output-exists" in answer.err
    assert path.read_text("utf-8") == "mine"
    assert call("frames", "OS-X3", *SHOP, "--out", path, "--force").status == 0


def test_text_of_a_frame_file_is_escaped(tmp_path: Path) -> None:
    text = (FRAMES / "OS-X3.toml").read_text("utf-8").replace("tube clamp", "<b>tube & clamp</b>")
    (tmp_path / "OS-X3.toml").write_text(text, "utf-8")
    call("frames", "OS-X3", "--frames", tmp_path, "--out", tmp_path / "x.html")
    page = (tmp_path / "x.html").read_text("utf-8")
    assert "<b>tube" not in page
    assert "&lt;b&gt;tube &amp; clamp" in page


# --- checking -------------------------------------------------------------------------------------------


def test_every_fault_is_explained_with_its_line_and_key(faulty: Path) -> None:
    answer = call("frames", "--check", faulty / "NQ-T1.toml", faulty / "OS-X3.toml")
    assert answer.status == UNUSABLE
    narrow(answer.out)
    assert answer.out.startswith(
        """\
NQ-T1.toml: 3 faults; it cannot be used.
  line 17, adjustment[1].joint[1].thread: frame-thread  (seat width, upper
      front)
    > thread       = "1/4-22"
    No standard series lists 1/4-22; listed are 1/4-20 UNC and 1/4-28 UNF.
    Correct the thread.
  line 57, adjustment[1].joint[3].stakcs: frame-key-unknown  (seat width, lower
      front)
    > stakcs       = 2
    The key "stakcs" means nothing here; the nearest known key is "stacks".
    Write "stacks", or remove the key.
"""
    )
    assert "OS-X3.toml: fine. It holds OS-X3: Telescoping frame, hole rows" in answer.out


def test_files_that_are_fine_say_what_they_hold() -> None:
    answer = call("frames", "--check", *FRAMES.glob("*.toml"))
    assert answer.status == 0
    assert answer.out.count(": fine. It holds ") == 5


def test_check_alone_looks_at_the_whole_folder(faulty: Path) -> None:
    (faulty / "again.toml").write_bytes((faulty / "OS-X3.toml").read_bytes())
    answer = call("frames", "--check", "--frames", faulty)
    assert answer.status == UNUSABLE
    assert answer.out.count("frame-doubled") == 2
    assert answer.out.count(" fault") == 3


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"code = \n", "line 1: frame-unreadable"),
        (b"\xff\xfe", "is not in UTF-8"),
        (b"", 'The key "code" is missing.'),
    ],
)
def test_a_file_that_is_no_frame_is_told_so(tmp_path: Path, content: bytes, says: str) -> None:
    path = tmp_path / "x.toml"
    path.write_bytes(content)
    answer = call("frames", "--check", path)
    assert answer.status == UNUSABLE
    assert says in " ".join(answer.out.split())


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    refused(call("frames", "--check", tmp_path / "nix.toml"), "file-missing", "There is no frame file")


@pytest.mark.parametrize(
    "words",
    [
        ("--check", "--new"),
        ("--check", "--options", "x"),
        ("--out", "x.html"),
        ("NQ-T1", "OS-X3", "--out", "x.html"),
        ("--new", "a.toml", "b.toml"),
        ("NQ-T1", "--out", "x.pdf"),
    ],
)
def test_words_that_do_not_go_together_are_refused(words: tuple[str, ...]) -> None:
    answer = call("frames", *words, *SHOP)
    refused(answer, "call-unusable")


# --- a new frame ----------------------------------------------------------------------------------------


def typed(
    folder: Path, answers: list[str], *words: object, **environment: str
) -> subprocess.CompletedProcess[bytes]:
    """The questions answered from a pipe."""
    return subprocess.run(
        [sys.executable, "-m", "reconcile.cli", "frames", "--new", *map(str, words), "--in", str(folder)],
        input="".join(f"{each}\n" for each in answers).encode(), capture_output=True, check=False,
        env={**os.environ, **environment},
    )  # fmt: skip


def test_a_new_frame_is_shown_and_written_when_it_is_agreed_to(tmp_path: Path) -> None:
    done = typed(tmp_path, [*NEW, "", "yes"], PYTHONIOENCODING="cp1252")
    assert (done.returncode, done.stderr) == (0, b"")
    path = tmp_path / "frames" / "AB-1.toml"
    frame, code, problems = read_frame(path)
    assert (code, problems) == ("AB-1", ())
    said = done.stdout.decode("cp1252")
    assert f"Written: {path}" in said
    assert "  1     15 in  2 in      1 1/2 in  1 7/8 to 2 1/8 in  SP-050" in said
    assert frame.adjustments[0].joints[0].torque == ""
    assert "torque" not in path.read_text("utf-8")


def test_a_new_frame_that_is_not_agreed_to_is_not_written(tmp_path: Path) -> None:
    done = typed(tmp_path, [*NEW, "no"])
    assert done.returncode == 0
    assert b"Nothing was written." in done.stdout
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
@pytest.mark.parametrize("count", [0, 5, len(NEW)])
def test_answers_that_end_too_soon_leave_no_file(tmp_path: Path, count: int) -> None:
    done = typed(tmp_path, NEW[:count])
    assert done.returncode == UNUSABLE
    assert b"The answers ended before the frame was whole." in b" ".join(done.stderr.split())
    assert b"Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_ctrl_c_leaves_no_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    answers = iter(NEW[:9])

    def read() -> str:
        try:
            return next(answers) + "\n"
        except StopIteration:
            raise KeyboardInterrupt from None

    monkeypatch.setattr("reconcile.commands.shell.terminal.read_line", read)
    answer = call("frames", "--new", "--in", tmp_path)
    assert (answer.status, answer.err) == (130, "Stopped.\n")
    assert list(tmp_path.iterdir()) == []


def test_a_code_that_is_there_is_asked_for_again(tmp_path: Path) -> None:
    typed(tmp_path, [*NEW, "y"])
    done = typed(tmp_path, ["ab-1", "AB-2", *NEW[1:], "y"])
    assert done.returncode == 0
    assert b'The code "ab-1" is already that of AB-1.toml.' in done.stdout
    assert sorted(each.name for each in (tmp_path / "frames").iterdir()) == ["AB-1.toml", "AB-2.toml"]


def test_a_file_that_is_there_is_refused_before_anything_is_asked(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("mine", "utf-8")
    done = typed(tmp_path, NEW, path)
    assert (done.returncode, done.stdout) == (UNUSABLE, b"")
    assert b"output-exists" in done.stderr
    assert path.read_text("utf-8") == "mine"


def test_a_code_with_a_stroke_gives_a_file_name_without_one(tmp_path: Path) -> None:
    done = typed(tmp_path, ["A/B:1", *NEW[1:], "y"])
    assert done.returncode == 0
    assert read_frame(tmp_path / "frames" / "A-B-1.toml")[1] == "A/B:1"


def test_answers_are_not_lost_where_the_file_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", "utf-8")
    done = typed(tmp_path, [*NEW, "y"], tmp_path / "file" / "x.toml")
    assert done.returncode == UNUSABLE
    assert b'code   = "AB-1"' in done.stdout


def test_bytes_that_are_no_text_are_asked_for_again(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "reconcile.cli", "frames", "--new", "--in", str(tmp_path)],
        input=b"\xff\xfe\n", capture_output=True, check=False,
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip
    assert b"The answer holds a letter that cannot be read." in done.stdout
    assert b"Traceback" not in done.stderr


# --- blank ----------------------------------------------------------------------------------------------


def test_blank_writes_a_folder_that_plans_at_once(tmp_path: Path) -> None:
    answer = call("blank", tmp_path / "shop", "--today", "2026-11-27")
    assert answer.status == 0
    written = re.findall("Written: (.+)", answer.out)
    assert [Path(each).name for each in written] == ["jobs.xlsx", "stock.xlsx", "reconcile.toml", "EX-1.toml"]
    week = call("week", tmp_path / "shop", "--today", "2026-11-27", "--dry-run")
    assert (week.status, week.out.splitlines()[0]) == (
        0,
        "Every kit is complete: 1 job, served from the shelf.",
    )
    again = call("blank", tmp_path / "shop")
    assert (again.status, again.out) == (UNUSABLE, "")
    assert again.err.count("error output-exists at ") == 3


# --- what it costs --------------------------------------------------------------------------------------

LOADED = """
import sys
sys.argv = ["reconcile", *sys.argv[1:]]
from reconcile.cli import main
try:
    main()
except SystemExit:
    pass
print("\\n" + " ".join(sorted({name.partition(".")[0] for name in sys.modules})))
"""


@pytest.mark.slow
@pytest.mark.parametrize(
    "words",
    [("frames",), ("frames", "NQ-T1"), ("frames", "--check"), ("frames", "-h"), ("blank", "-h")],
    ids=" ".join,
)
def test_nothing_heavy_is_loaded(words: tuple[str, ...]) -> None:
    folder = () if words[-1] == "-h" else SHOP
    done = subprocess.run(
        [sys.executable, "-c", LOADED, *map(str, (*words, *folder))],
        capture_output=True,
        check=True,
        text=True,
    )
    assert set(done.stdout.splitlines()[-1].split()) & HEAVY == set()


@pytest.mark.parametrize("command", ["frames", "blank"])
def test_help_begins_with_examples_and_names_the_exit_statuses(command: str) -> None:
    shown = call(command, "-h").out
    assert shown.index("For example:") < shown.index("Options:")
    assert "Exit status: 0" in shown
