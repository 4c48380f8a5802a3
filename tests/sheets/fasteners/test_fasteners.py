"""Threads, heads and grades in the spellings that are met on sheets."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reconcile.sheets.fasteners.spellings import (
    HEADS,
    PROPERTY_CLASSES,
    SAE_GRADES,
    canonical_grade,
    canonical_head,
    is_known_grade,
    read_thread,
)
from reconcile.sheets.figures.text import Unreadable
from reconcile.standards import inch_thread, metric_thread, threads

QUARTER, TEN, SIX = inch_thread("1/4", 20), inch_thread("#10", 32), metric_thread(Fraction(6))


@pytest.mark.parametrize(
    "text",
    [
        "1/4-20", "1/4-20 UNC", "1/4-20UNC", ".250-20 UNC-2A", "0.25-20", '1/4" x 20 tpi', "1/4 x 20", "¼–20",
        "1/4 UNC", "1/4-20 unc-3a", '1/4"-20', "1/4 - 20 NC",
    ],
)  # fmt: skip
def test_a_quarter_inch_coarse_thread(text):
    assert read_thread(text) == QUARTER


@pytest.mark.parametrize(
    "text", ["#10-32", "10-32", "No. 10-32 UNF", "no 10-32", ".190-32", "# 10 - 32 UNF-2B"]
)
def test_a_number_ten_fine_thread(text):
    assert read_thread(text) == TEN


@pytest.mark.parametrize(
    "text", ["M6", "m6", "M6x1", "M6×1.0-6g", "m6 x 1", "M6 x 1,0", "M6-1.0", "M6-6g", "M6 coarse"]
)
def test_an_m6_coarse_thread(text):
    assert read_thread(text) == SIX


@pytest.mark.parametrize("thread", threads(), ids=str)
def test_every_designation_reads_back(thread):
    assert read_thread(thread.designation) == thread


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("1/4-22", "No standard series lists 1/4-22; listed are 1/4-20 UNC and 1/4-28 UNF."),
        ("1/4-20 UNF", '"1/4-20 UNF" contradicts itself: UNC is 1/4-20, UNF is 1/4-28.'),
        ("1/4", '"1/4" has no pitch: UNC is 1/4-20, UNF is 1/4-28.'),
        ("M6x0.9", "No standard series lists M6x0.9; M6 has the pitches 1 and 0.75 mm."),
        ("M6 LH", '"M6 LH" is not a thread that can be read.'),
        ("M6x1x30", '"M6x1x30" is not a thread that can be read.'),
        ("10 x 32", '"10 x 32" is not a thread that can be read.'),
        ("1/0-20", '"1/0-20" is not a thread that can be read.'),
    ],
)
def test_a_thread_of_no_series_is_refused_with_what_exists(text, says):
    with pytest.raises(Unreadable) as fault:
        read_thread(text)
    assert (fault.value.code, fault.value.says) == ("thread-unknown", says)


@given(st.text(alphabet='#Mm.0123456789/-x "UNCFtpi', max_size=14))
def test_any_text_is_a_thread_or_refused(text):
    try:
        assert read_thread(text) in threads()
    except Unreadable as fault:
        assert fault.code in ("thread-unknown", "cell-blank")


@pytest.mark.parametrize(
    ("head", "texts"),
    [
        ("socket cap", ["SHCS", "socket head cap screw", "Cap screw, socket head", "skt cap", "ISO 4762",
                        "DIN 912", "DIN EN ISO 4762", "CAP SCR SOC HD",
                        "Hexagon socket head cap screw ISO 4762"]),
        ("button", ["BHCS", "ISO 7380", "ISO 7380-1", "Button head", "button socket cap"]),
        ("countersunk", ["FHCS", "ISO 10642", "csk", "flat head socket cap screw"]),
        ("hex", ["HHCS", "hex bolt", "ISO 4014", "ISO 4017", "hex set", "Hexagon head bolt",
                 "hex cap screw"]),
        ("hex flange", ["Hex flange", "hexagon flanged bolt"]),
        ("pan", ["pan", "Pan head screw"]),
    ],
)  # fmt: skip
def test_a_head_has_many_names(head, texts):
    assert {text: canonical_head(text) for text in texts} == dict.fromkeys(texts, head)


@pytest.mark.parametrize("head", HEADS)
def test_our_names_of_heads_stay(head):
    assert canonical_head(head.upper()) == head


@pytest.mark.parametrize("text", ["T-slot", "cap screw", "set screw", "ISO 4762 button", "SHCS black"])
def test_a_head_that_is_not_known_stays_as_written_but_folded(text):
    assert canonical_head(f"  {text} ") == text.casefold()


@pytest.mark.parametrize("text", ["Grade 8", "gr.8", "GR 8", "SAE J429 grade 8", "SAE 8", "sae8", "8"])
def test_an_sae_grade_on_an_inch_thread(text):
    assert canonical_grade(text, QUARTER) == "SAE 8"


def test_a_bare_figure_is_a_grade_only_on_an_inch_thread():
    assert canonical_grade("8") == canonical_grade("8", SIX) == "8"
    assert canonical_grade("grade 8", SIX) == "grade 8"
    assert canonical_grade("SAE 8", SIX) == "SAE 8"


@pytest.mark.parametrize(
    ("text", "grade"),
    [
        ("8.8", "8.8"), ("class 8.8", "8.8"), ("grade 8.8", "8.8"), ("Cl. 10.9", "10.9"),
        ("Property class 12.9", "12.9"), ("A2-70", "A2-70"), ("a4 80", "A4-80"), ("ASTM A574", "ASTM A574"),
        (" titanium ", "titanium"), ("SAE 8.8", "SAE 8.8"), ("", ""),
    ],
)  # fmt: skip
def test_other_grades(text, grade):
    assert canonical_grade(text, SIX) == grade


@pytest.mark.parametrize(
    ("text", "grade"),
    [
        ("A574", "ASTM A574"), ("astm a574", "ASTM A574"), ("ASTM A 574", "ASTM A574"),
        ("A193 B7", "ASTM A193 B7"), ("ASTM A193 Grade B7", "ASTM A193 B7"), ("A193-B7", "ASTM A193 B7"),
        ("A193 Gr. B8M", "ASTM A193 B8M"), ("A193", "ASTM A193"), ("A320 L7", "ASTM A320 L7"),
        ("A307", "ASTM A307"), ("A307 Grade A", "ASTM A307 grade A"), ("ASTM A307 gr.B", "ASTM A307 grade B"),
        ("A325", "ASTM A325"), ("A490", "ASTM A490"), ("F3125 Grade A325", "ASTM F3125 A325"),
        ("ASTM F835", "ASTM F835"), ("A354 BD", "ASTM A354 BD"), ("A354 Grade BC", "ASTM A354 BC"),
        ("F593", "ASTM F593"), ("F593C", "ASTM F593C"), ("ASTM F594", "ASTM F594"),
    ],
)  # fmt: skip
def test_astm_grades_as_they_are_written(text, grade):
    assert canonical_grade(text) == canonical_grade(grade) == grade
    assert is_known_grade(grade)


@pytest.mark.parametrize(
    "text",
    [
        "A193 B9",
        "A193 grade",
        "A307 grade D",
        "A574M",
        "A575",
        "ASTM A 5",
        "A 574",
        "A325-10",
        "A193/A320 B8",
    ],
)
def test_what_no_astm_specification_has_is_not_made_one(text):
    assert canonical_grade(text) == text
    assert not is_known_grade(text)


def test_no_sae_grade_is_a_property_class():
    assert set(SAE_GRADES).isdisjoint(PROPERTY_CLASSES)
