"""Choices kept from one run to the next: the same question, the same answer; anything else is worked out."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from reconcile.memory import MOST_KEPT, ChoicesAtHand, KeptChoices
from reconcile.plan.solver.packing import Ask, Bundle, Option, Packed, Resource, question_of
from reconcile.plan.solver.packing_solver import most, most_remembered

# Two bundles of rank 1 want the one unit of a resource; the earlier mark gets it.
ONE_UNIT = (Ask(1, (Option(((0, 1),)),)),)
BUNDLES = [Bundle(1, 1, ONE_UNIT, (2,), kind=0), Bundle(1, 1, ONE_UNIT, (3,), kind=0)]
RESOURCES = [Resource({0: 1})]


@pytest.fixture
def kept(tmp_path):
    return KeptChoices(tmp_path / "kept")


def test_an_answer_comes_back_as_it_was_kept(kept):
    answer = most_remembered(BUNDLES, RESOURCES, 10, kept)
    assert answer == most(BUNDLES, RESOURCES)
    assert kept.recall(question_of(BUNDLES, RESOURCES)) == answer
    assert most_remembered(BUNDLES, RESOURCES, 10, kept) == answer


def test_an_answer_of_many_marks_comes_back_too(kept):
    """As text 10 stands before 9."""
    many = [Bundle(1, 1, ONE_UNIT, tuple(range(1, 13)), kind=0)]
    resources = [Resource({0: 12})]
    answer = most_remembered(many, resources, 10, kept)
    assert len(answer.taken) == 12
    assert kept.recall(question_of(many, resources)) == answer


def test_resources_that_no_bundle_names_decide_nothing(kept):
    beside = [*RESOURCES, Resource({0: 7}), Resource({})]
    answer = most_remembered(BUNDLES, RESOURCES, 10, kept)
    kept.keep(question_of(BUNDLES, RESOURCES), Packed({3: ((1,),)}))
    assert answer.taken == {2: ((1,),)}
    assert most_remembered(BUNDLES, beside, 10, kept).taken == {3: ((1,),)}


def test_what_was_asked_before_is_at_hand_and_is_still_looked_at(tmp_path):
    hand = ChoicesAtHand(tmp_path / "kept")
    answer = most_remembered(BUNDLES, RESOURCES, 10, hand)
    for path in hand.folder.iterdir():
        path.unlink()
    assert hand.recall(question_of(BUNDLES, RESOURCES)) == answer
    hand.keep(question_of(BUNDLES, RESOURCES), Packed({2: ((1,),), 3: ((1,),)}))  # more than there is
    assert most_remembered(BUNDLES, RESOURCES, 10, hand) == answer


def test_what_is_recalled_is_not_worked_out_again(kept):
    kept.keep(question_of(BUNDLES, RESOURCES), Packed({3: ((1,),)}))
    assert most_remembered(BUNDLES, RESOURCES, 10, kept).taken == {3: ((1,),)}


@given(
    st.dictionaries(st.integers(0, 200), st.lists(st.lists(st.integers(0, 3)).map(tuple)).map(tuple)),
    st.frozensets(st.integers(0, 200)),
)
@example({9: ((1,),), 10: ()}, frozenset())  # of texts "10" is before "9"
def test_whatever_is_kept_comes_back(taken, by_hand):
    with tempfile.TemporaryDirectory() as folder:
        kept, answer = KeptChoices(Path(folder)), Packed(taken, by_hand)
        kept.keep("question", answer)
        assert kept.recall("question") == answer


@pytest.mark.parametrize(
    ("bundles", "resources"),
    [
        (BUNDLES, [Resource({0: 2})]),
        (BUNDLES, [Resource({1: 1})]),
        ([BUNDLES[0], Bundle(2, 1, ONE_UNIT, (3,), kind=0)], RESOURCES),
        ([BUNDLES[0], Bundle(1, 1, ONE_UNIT, (4,), kind=0)], RESOURCES),
    ],
)
def test_another_question_is_not_answered_by_this_one(kept, bundles, resources):
    assert question_of(bundles, resources) != question_of(BUNDLES, RESOURCES)


def test_an_answer_that_is_not_proven_is_not_kept(kept, monkeypatch):
    monkeypatch.setattr("reconcile.plan.solver.packing_solver.most", lambda *_: Packed({}, proven=False))
    most_remembered(BUNDLES, RESOURCES, 10, kept)
    assert kept.recall(question_of(BUNDLES, RESOURCES)) is None


@pytest.mark.parametrize(
    "content", [b"", b"{", b"[]", b'{"taken": 1}', b'{"taken": {"x": []}, "by_hand": []}']
)
def test_a_damaged_file_is_no_answer(kept, content):
    kept.folder.mkdir()
    (kept.folder / "kits-question.json").write_bytes(content)
    assert kept.recall("question") is None


def test_a_folder_that_cannot_be_written_costs_nothing_but_time(tmp_path):
    (tmp_path / "file").write_text("not a folder")
    kept = KeptChoices(tmp_path / "file")
    kept.keep("question", Packed({}))
    assert kept.recall("question") is None


def test_files_of_others_in_the_folder_are_left_alone(kept):
    kept.folder.mkdir()
    others = [kept.folder / f"{number}.json" for number in range(MOST_KEPT + 5)]
    for each in others:
        each.write_text("mine")
    kept.keep("question", Packed({}))
    assert set(kept.folder.iterdir()) == {*others, kept.folder / "kits-question.json"}


def test_a_user_without_a_home_keeps_nothing(monkeypatch):
    def homeless():
        raise RuntimeError("Could not determine home directory.")

    for name in ("RECONCILE_CACHE", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr("pathlib.Path.home", homeless)
    kept = KeptChoices()
    kept.keep("question", Packed({}))
    assert kept.recall("question") is None


def test_only_the_latest_are_kept(kept):
    for number in range(MOST_KEPT + 5):
        kept.keep(f"question-{number}", Packed({}))
    assert len(list(kept.folder.iterdir())) == MOST_KEPT


# --- entries that are not what was kept -------------------------------------------------------------------


def entry(kept, question="question"):
    return kept.folder / f"kits-{question}.json"


def test_edited_digits_are_no_answer_and_are_forgotten(kept):
    kept.keep("question", Packed({2: ((1,),)}))
    entry(kept).write_text(entry(kept).read_text().replace('"2": [[1]]', '"3": [[1]]'))
    assert kept.recall("question") is None
    assert not entry(kept).exists()


def test_an_answer_to_another_question_is_none(kept):
    kept.keep("question", Packed({2: ((1,),)}))
    entry(kept).rename(entry(kept, "other"))
    assert kept.recall("other") is None


@pytest.mark.parametrize(
    "answer",
    [
        Packed({2: ((1,),), 3: ((1,),)}),  # one unit more than there is
        Packed({9: ((1,),)}),  # no such mark
        Packed({2: ((1,),)}, frozenset({9})),
        Packed({2: ((2,),)}),  # more than was asked
        Packed({2: ((0,),)}),
        Packed({2: ((1, 0),)}),
        Packed({2: ()}),
        Packed({2: ((-1,),)}),
    ],
)
def test_what_cannot_be_an_answer_is_solved_anew(kept, answer):
    question = question_of(BUNDLES, RESOURCES)
    kept.keep(question, answer)  # with a digest that holds
    assert most_remembered(BUNDLES, RESOURCES, 10, kept) == most(BUNDLES, RESOURCES)
    assert kept.recall(question) == most(BUNDLES, RESOURCES)


def test_what_can_still_be_had_is_no_overdraft(kept):
    resources = [Resource({0: 0}, open_from=1)]
    answer = most_remembered(BUNDLES, resources, 10, kept)
    assert answer.taken.keys() == {2, 3}
    assert most_remembered(BUNDLES, resources, 10, kept) == answer
    assert entry(kept, question_of(BUNDLES, resources)).exists()


@pytest.mark.parametrize("what", ["folder", "pipe", "link to itself", "endless", "too long", "true for 1"])
def test_an_entry_that_is_no_plain_file_is_passed_over(kept, what):
    import os
    from pathlib import Path

    kept.folder.mkdir()
    if what == "folder":
        entry(kept).mkdir()
    elif what == "pipe":
        os.mkfifo(entry(kept))
    elif what == "link to itself":
        entry(kept).symlink_to(entry(kept))
    elif what == "endless":
        entry(kept).symlink_to(Path("/dev/zero"))
    elif what == "too long":
        with entry(kept).open("wb") as file:
            file.truncate(10**12)
    else:
        kept.keep("question", Packed({2: ((True,),)}))
    assert kept.recall("question") is None
    kept.keep("other", Packed({}))
    assert kept.recall("other") == Packed({})
