"""Short cuts taken for speed answer as the long way does: none hides a bolt, none hides a faulty cell."""

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from reconcile.sheets.fasteners.descriptions import hints_at_bolt, read_description
from reconcile.sheets.unseen.xlsx import _faults_of_all, find_faults

MANY = settings(max_examples=1500, derandomize=True)

PIECES = (
    *("1/4-20", "1/4", "¼-20", "½ - 13", ".250-20", "#10-32", "# 8", "No. 10", "no 6 - 32", "10-32"),
    *("M6", "m 8", "M6x1", "M6×1.0", "Ｍ６", "UNC", "UNF-2A", "20 tpi", "x", "X", "×", "x 2-1/2"),
    *("30", '1½"', "2.50 LG", "50 mm", "3 in", "SHCS", "BHCS", "HHCS", "socket cap", "skt cap", "button"),
    *("hex", "hex set", "screw", "bolt", "cap screw", "setscrew", "ISO 4762", "DIN 933", "8.8", "A2-70"),
    *("SAE 8", "gr.8", "BLK OX", "ZP", "nut", "washer", "spacer", "cushion", "tube", "for", ",", "-", "–"),
    *("\u00a0", "\u200b", "left-hand", "LH", "FT"),
)
"""What descriptions are made of, in the dialects people write, and signs that hide in them."""

descriptions = st.one_of(
    st.lists(st.sampled_from(PIECES), max_size=6).map(" ".join),
    st.lists(st.sampled_from(PIECES), max_size=5).map("".join),
    st.text("mMxX×#.-/ 0123456789½¼UNCFbolthexSH\u00a0\u2009\u2013Ｍ６", max_size=14),
)


@pytest.mark.slow
@MANY
@given(descriptions)
@example("½-13 x 2")
@example("Ｍ６ x 30")
@example("m\u00a06 x 30 hex")
def test_a_text_that_hints_at_no_bolt_has_neither_thread_nor_the_name_of_one(text):
    if not hints_at_bolt(text):
        said = read_description(text)
        assert (said.thread, said.kind == "bolt", said.bolt) == (None, False, None)


VALUES = st.sampled_from(["", "<v/>", "<v></v>", "<v>#N/A</v>", "<v>7</v>", "<v>&lt;f&gt;</v>"])
FORMULAS = st.sampled_from(["", "", "<f/>", "<f>A1+1</f>", '<f t="shared" si="0"/>', '<f>"t="</f>'])
KINDS = st.sampled_from(
    ["", ' t="e"', ' t="str"', ' t="s"', ' t="b"', " t='e'", ' s="1" t="e"', ' t="inlineStr"']
)
HEADS = st.sampled_from(
    [
        '<?xml version="1.0" encoding="UTF-8"?>\n<worksheet xmlns="urn:x">',
        "<worksheet>",
        '<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="urn:x" xmlns:q="urn:y"><!-- t="e" --><q:f/>',
    ]
)


@st.composite
def sheets(draw):
    cells = []
    for number in range(1, draw(st.integers(0, 6)) + 1):
        shape = draw(
            st.sampled_from(['<c r="A{n}"{t}>{f}{v}</c>', '<c{t} r="A{n}">{f}{v}</c>', '<c r="A{n}"{t}/>'])
        )
        told = shape.format(n=number, t=draw(KINDS), f=draw(FORMULAS), v=draw(VALUES))
        cells.append(f'<row r="{number}">{told}</row>')
    return f"{draw(HEADS)}<sheetData>{''.join(cells)}</sheetData></worksheet>"


@pytest.mark.slow
@MANY
@given(sheets())
def test_looking_at_suspect_cells_alone_finds_what_looking_at_all_finds(xml):
    told = xml.encode()
    assert find_faults(told) == _faults_of_all(told, zero_is_none=False)
