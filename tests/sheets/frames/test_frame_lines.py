"""Lines of keys in a frame file, as a person would count them."""

import tomllib

import pytest

from reconcile.sheets.frames.lines import key_lines

TEXT = """\
code = "AB-1"  # [[adjustment]] in a remark is none
[[adjustment]]
name = "first"
[[adjustment.joint]]
name = "upper"
length = "1 in"
[[adjustment.joint]]
name = "lower"
engagement = { minimum = "3/8 in", maximum = "5/8 in" }
spacers = [{ part = "A{B", thickness = "1/2 in" }, { part = "C", thickness = "1 in" }]
[[adjustment]]
name = "second"
[[adjustment.joint]]
thread = "M6"
[[adjustment.cover]]
name = "cover"
steps = [
    { from = 0, to = 1, part = "X}" },
    # { from = 0, to = 9, part = "a remark" },
    { from = 2, to = 3, part = "Y" },
]
"""


@pytest.mark.parametrize(
    ("key", "line", "names"),
    [
        ("code", 1, ()),
        ("source", 1, ()),  # missing: the top of the file
        ("adjustment[1].name", 3, ("first",)),
        ("adjustment[1].joint[1].length", 6, ("first", "upper")),
        ("adjustment[1].joint[2].length", 7, ("first", "lower")),  # missing: its table
        ("adjustment[1].joint[2].engagement.maximum", 9, ("first", "lower")),
        ("adjustment[1].joint[2].spacers[2].thickness", 10, ("first", "lower")),
        ("adjustment[2].joint[1].thread", 14, ("second",)),
        ("adjustment[2].cover[1].steps[1].to", 18, ("second", "cover")),
        ("adjustment[2].cover[1].steps[2].to", 20, ("second", "cover")),
        ("adjustment[2].cover[1].steps", 17, ("second", "cover")),
        ("adjustment[2].step", 11, ("second",)),
    ],
)
def test_a_key_has_its_line_and_its_names(key: str, line: int, names: tuple[str, ...]) -> None:
    found = key_lines(TEXT, tomllib.loads(TEXT), [key])[key]
    assert (found.line, found.names) == (line, names)
    assert found.text == TEXT.splitlines()[line - 1].strip()


def test_a_file_with_text_over_several_lines_is_left_alone() -> None:
    text = 'code = """\nAB"""\n'
    assert key_lines(text, tomllib.loads(text), ["code"]) == {}
