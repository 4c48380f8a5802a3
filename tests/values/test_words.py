"""Names sort as a person reads them, however long their figures are."""

from reconcile.values.words import natural


def test_figures_sort_by_their_size_and_an_empty_name_last():
    names = ["", "B-10", "B-2", "A-3", "B-002", "b-1", "C"]
    assert sorted(names, key=natural) == ["A-3", "b-1", "B-2", "B-002", "B-10", "C", ""]


def test_figures_beyond_any_number_sort_too():
    long = "7" * 40_000
    assert sorted([long + "1", long, "8"], key=natural) == ["8", long, long + "1"]
