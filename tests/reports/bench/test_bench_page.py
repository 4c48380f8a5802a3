"""The bench page as a file: read back with a parser, not with the program that made it."""

import re
from dataclasses import replace
from fractions import Fraction

import pytest
import weeks
from bench_week import planned_demo, workshop_week
from lxml import html as lxml_html

from reconcile.reports.bench.cards import Item, Tick, bench_cards
from reconcile.reports.bench.outputs import bench_outputs
from reconcile.reports.bench.page import page_name, page_text, qr_code
from reconcile.reports.bench.shown_joints import by_text, shown_item
from reconcile.reports.paper.sizes import LETTER_COUNTRIES
from reconcile.reports.writing.files import write_all
from reconcile.reports.writing.wording import CAUTIONS
from reconcile.values.week.results import Week

LONG = "Ünusually-long-name-without-a-blank-" * 6
HEBREW = "נא לבדוק את הכיסא לפני העבודה"
ARABIC = "يرجى فحص الكرسي قبل العمل"
NASTY = '<script>alert("x")</script> & "quoted"'


def tree(week: Week):
    return lxml_html.document_fromstring(page_text(week))


@pytest.fixture(scope="module")
def page():
    return tree(workshop_week(12))


def text_of(element) -> str:
    return " ".join(element.text_content().split())


def test_the_page_is_named_after_its_week_and_written_with_the_workbook(tmp_path):
    week = weeks.week()
    assert page_name(week) == "bench-2026-W49.html"
    outputs = bench_outputs(week, tmp_path)
    write_all(outputs)
    assert sorted(each.name for each in tmp_path.iterdir()) == ["bench-2026-W49.html", "bench-2026-W49.xlsx"]
    assert (tmp_path / "bench-2026-W49.html").read_text("utf-8") == page_text(week)


def test_it_needs_no_script_no_other_file_and_no_address(page):
    text = page_text(workshop_week(3))
    assert not page.xpath("//script | //link | //iframe | //object | //img | //form")
    assert not [name for each in page.iter() for name in each.attrib if name.startswith("on")]
    assert not re.search(r"(?:src|href)=\"(?!#)", text)
    without_namespaces = re.sub(r'xmlns(:\w+)?="[^"]*"', "", text)
    assert "http" not in without_namespaces
    assert "@import" not in text
    assert set(re.findall(r"url\(([^)]*)\)", text)) <= {
        f"#{each.get('id')}" for each in page.xpath("//*[@id]")
    }


def test_every_id_is_used_once_and_every_anchor_leads_somewhere(page):
    idents = [each.get("id") for each in page.xpath("//*[@id]")]
    assert len(set(idents)) == len(idents)
    leads = [each.get("href") for each in page.xpath("//a")] + [
        each.get("href") for each in page.xpath("//use")
    ]
    assert leads
    assert {each.removeprefix("#") for each in leads} <= set(idents)
    assert {
        each for lead in page.xpath("//*[@aria-labelledby]") for each in lead.get("aria-labelledby").split()
    } <= set(idents)


def test_the_index_has_every_job_by_day_with_the_state_of_its_kit_in_words(page):
    nav = page.xpath("//nav")[0]
    assert len(nav.xpath(".//li")) == 12
    assert text_of(nav.xpath(".//h3")[0]) == "Mon 2026-11-30"
    assert {text_of(each.xpath("./span")[0]) for each in nav.xpath(".//li")} <= {
        "Kit complete", "Kit waits for parts", "Kit not complete",
    }  # fmt: skip
    assert len(page.xpath("//article")) == 12


def test_every_job_has_its_number_beside_its_code_and_repeated_at_the_head_of_each_page(page):
    for article in page.xpath("//article"):
        number = text_of(article.xpath(".//h2")[0]).removeprefix("Job ")
        assert article.xpath(".//thead//h2"), "a table's head is printed again on each page"
        (code,) = article.xpath(".//*[@class='code']")
        assert text_of(code) == number
        assert code.xpath(".//*[@role='img']")[0].get("aria-label") == f"QR code of the job number {number}"
        assert code.xpath(".//*[local-name()='svg']")


def test_every_box_has_a_label_that_says_what_it_is_for(page):
    boxes = page.xpath("//input")
    assert boxes
    for box in boxes:
        assert box.get("type") == "checkbox"
        assert len(text_of(box.getparent())) > 5
        assert box.getparent().tag == "label"
    assert "upper front, left: comes out, bolt 2 in B-200, 1" in {text_of(each.getparent()) for each in boxes}


def test_tables_have_headings_with_a_scope_and_a_caption(page):
    for table in page.xpath("//table[not(@role)]"):
        assert table.xpath("./caption")
        assert table.xpath(".//th")
        assert all(each.get("scope") for each in table.xpath(".//th"))


def test_every_card_carries_the_cautions(page):
    for article in page.xpath("//article"):
        said = text_of(article)
        assert all(each in said for each in CAUTIONS)


def test_a_short_job_says_so_before_anything_else():
    shown = tree(weeks.week())
    (article,) = shown.xpath("//article[@id='job-J-103']")
    told = " ".join(" ".join(article.xpath(".//tbody/tr")[0].itertext()).split())
    assert told.startswith("Kit not complete: do not open the chair. Missing: 1 of 1/4-20 UNC x 3 1/2 in")
    assert "It could be done on Tue 2026-12-08 at the earliest." in told
    (waits,) = shown.xpath("//article[@id='job-J-102']")
    (stop,) = waits.xpath(".//*[@class='bar stop waits']")
    told = " ".join(" ".join(stop.itertext()).split())
    assert told == (
        "Do not open the chair before these are here: 2 of B-14-300: order PO-12, there on Wed 2026-12-02"
    )


def test_a_substitute_has_a_line_to_sign(page):
    signs = page.xpath("//*[@class='sign']")
    assert signs
    for each in signs:
        assert "agreed by (qualified technician)" in text_of(each)
        assert re.search(r"asked 2 1/2 in, offered 2 3/8 in \(B-2375\)", text_of(each))
        assert "Engagement 3/8 in (9.525 mm), 1.5 × d. Allowed: least 3/8 in, most 5/8 in." in text_of(each)


def test_drawings_are_on_the_page_with_their_scale(page):
    drawings = page.xpath("//*[local-name()='svg'][@role='img'][contains(@class, 'joint')]")
    assert drawings
    for each in drawings:
        assert each.get("aria-label").startswith("Drawing of upper ")
        assert each.xpath("./*[local-name()='title']")
        assert each.xpath("./*[local-name()='desc']")
    for article in page.xpath("//article[.//*[local-name()='svg'][starts-with(@aria-label, 'Drawing')]]"):
        scales = {text_of(each) for each in article.xpath(".//*[@class='scale']")}
        assert scales
        assert all(re.fullmatch(r"scale 1:\d+|as joint \d+", each) for each in scales)
        assert "Scales hold at 100 %." in text_of(article)


def test_joints_that_look_alike_are_drawn_once_and_others_each_for_itself(page):
    alike = page.xpath("//article[@id='job-J-4001']")[0]
    assert len(alike.xpath(".//*[local-name()='svg'][@role='img'][@data-scale]")) == 1
    said = [text_of(each) for each in alike.xpath(".//*[@class='scale']")]
    assert said == ["scale 1:2", "as joint 1"]
    assert len(alike.xpath(".//*[contains(@class, 'torque')]")) == 2, (
        "each joint keeps its lists and its torque"
    )
    assert len(alike.xpath(".//table[contains(@class, 'way-list')]")) == 4


def test_of_a_joint_without_a_drawing_of_its_own_what_goes_in_is_two_lists_and_torque_the_last(page):
    cards = page.xpath("//div[contains(@class, 'joint-card')][.//*[contains(@class, 'two')]]")
    assert cards
    for card in cards:
        assert "as joint 1" in text_of(card)
        first, second = (
            [text_of(row) for row in each.xpath("./tbody/tr")]
            for each in card.xpath(".//*[@class='in']/table")
        )
        assert 0 <= len(first) - len(second) <= 1
        assert not any("torque" in row for row in (*first, *second[:-1]))
        assert second[-1].endswith("torque 9 N*m")


def test_a_length_is_never_torn_at_the_end_of_a_line(page):
    told = [each.xpath("string(text())") for each in page.xpath("//*[contains(@class, 'way-list')]//td")]
    assert any("1 bolt 2\N{NO-BREAK SPACE}1/2\N{NO-BREAK SPACE}in" in each for each in told)
    assert [each for each in told if re.search(r"\d in\b|\d \d", each)] == []


@pytest.mark.slow
def test_a_part_of_several_joints_is_described_once_under_them(page):
    demo = tree(planned_demo())
    article = demo.xpath("//article[@id='job-J-4101']")[0]
    assert text_of(article).count("Thread locker, medium, tube of 10 mL") == 1
    assert "TL-MED: Thread locker, medium, tube of 10 mL" in text_of(article.xpath(".//*[@class='foot']")[0])
    (cover,) = [each.getparent() for each in article.xpath(".//*[text()='CP-34']")]
    assert "Crossbar cover, 3 to 4 steps" in text_of(cover), "what is asked for once is described on the spot"


@pytest.mark.slow
def test_every_description_of_a_cards_parts_is_on_its_page():
    week = planned_demo()
    demo = tree(week)
    for card in bench_cards(week):
        said = text_of(demo.get_element_by_id(card.anchor))
        for joint in (*card.joints, *((card.rest,) if card.rest else ())):
            for item in joint.items:
                assert item.part in said
                assert item.designation in said
                assert all(name in said for name in item.bins.split(", "))
                assert item.goes_to in said


def test_sides_that_take_different_amounts_each_have_theirs():
    ticks = (Tick("left", "1", "a"), Tick("right", "2", "b"))
    item = Item("goes in", "spacer 1/2 in", "SP-050", "", "D-08", "", "", False, ticks)
    assert shown_item(item, {}).amount == "left 1, right 2"
    assert shown_item(replace(item, ticks=ticks[:1]), {}).amount == "1"


def test_equal_descriptions_stand_together():
    assert by_text({"B-1": "black", "S-1": "spacer", "B-2": "black"}) == [
        ("black", ["B-1", "B-2"]), ("spacer", ["S-1"]),
    ]  # fmt: skip


def test_texts_from_the_sheets_are_escaped_and_keep_their_direction():
    week = workshop_week(1, notes=NASTY, technician=HEBREW, asset=ARABIC)
    shown = tree(week)
    assert not shown.xpath("//script")
    (notes,) = shown.xpath("//p[@class='notes']/bdi")
    assert text_of(notes) == NASTY
    for text in (HEBREW, ARABIC):
        assert [each.tag for each in shown.xpath("//bdi") if text in text_of(each)] == ["bdi"]


@pytest.mark.slow
@pytest.mark.parametrize("number", [NASTY, LONG, "J 1/2 #3", HEBREW, "a" * 5000])
def test_any_job_number_makes_a_page_that_holds_together(number):
    week = workshop_week(1)
    odd = replace(week.jobs[0], job=replace(week.jobs[0].job, number=number))
    shown = tree(replace(week, jobs=(odd,)))
    (link,) = shown.xpath("//nav//li/a")
    assert shown.xpath(f"//article[@id='{link.get('href')[1:]}']")
    assert text_of(link) == " ".join(number.split())


def test_a_code_holds_the_job_number_and_is_left_out_where_it_has_no_room():
    import segno

    side = segno.make("J-4101", micro=False, error="m").symbol_size(border=4)[0]
    assert f'viewBox="0 0 {side} {side}"' in qr_code("J-4101")
    assert qr_code("x" * 5000) == ""


def test_a_week_without_jobs_is_a_page_that_says_so():
    shown = tree(weeks.week(jobs=(), parts=()))
    assert "No job of the period could be planned." in text_of(shown.xpath("//nav")[0])
    assert "there is nothing to take" in text_of(shown.xpath("//*[@id='pick-list']")[0])


def test_the_pick_list_is_the_last_part_with_a_box_for_each_job(page):
    (section,) = page.xpath("//main/*[last()]")
    assert section.get("id") == "pick-list"
    first = section.xpath(".//tbody")[0]
    assert first.xpath("./tr[1]/th")[0].get("scope") == "rowgroup"
    assert len(first.xpath(".//input")) >= 1


@pytest.mark.slow
def test_eighty_jobs_make_a_page_of_less_than_three_megabytes():
    week = workshop_week(80)
    text = page_text(week)
    assert len(text.encode()) < 3_000_000
    assert text.count("<article") == 80
    shown = lxml_html.document_fromstring(text)
    bodies = shown.xpath("//*[starts-with(@id, 'drawing-')]")
    assert len(bodies) < 10 < len(shown.xpath("//use")), "equal drawings are written once"


def test_lengths_are_printed_for_any_paper():
    text = page_text(workshop_week(1))
    assert "@page" in text
    assert "size: A4" not in text, "the printer's paper is taken"
    assert LETTER_COUNTRIES
    assert Fraction(186) + 2 * 10 < Fraction("210"), "the drawing and the margins on A4, the narrower paper"
