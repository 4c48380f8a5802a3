"""A remembered choice of kits that somebody edited changes no answer: it is forgotten, and solved anew."""

import json
import re
from pathlib import Path

import pytest
from books import workbook
from closing_shop import STOCK, WEEKS, call, shop


@pytest.mark.parametrize("digest_too", [False, True], ids=["digits alone", "with a digest that holds"])
def test_edited_digits_complete_no_kit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, digest_too: bool
) -> None:
    """Two jobs want four clips each, and there are five: one kit, whatever the cache says."""
    from reconcile import memory

    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    folder = shop(tmp_path / "shop")
    rows = [list(row) for row in STOCK]
    rows[1][2], rows[3][2] = 3, 4
    workbook(folder / "stock.xlsx", Stock=rows)
    words = ("week", folder, "--week", WEEKS[0], "--force", "--json")

    def kits() -> tuple[list[str], bool]:
        found = json.loads(call(*words).stdout)
        return [job["kit"] for job in found["jobs"]], found["solution"]["proven"]

    before = kits()
    assert sorted(before[0]) == ["complete", "short"]
    (entry,) = (tmp_path / "cache").glob("kits-*.json")
    told = json.loads(entry.read_text())
    (mark,) = [each for each in told["answer"]["taken"] if told["answer"]["taken"][each]][:1]
    more = dict(told["answer"]["taken"])
    more |= {each: more[mark] for each in ("1", "2", "3", "4", "5", "6", "7", "8") if each not in more}
    told["answer"]["taken"] = more
    if digest_too:
        question = re.fullmatch("kits-(.*)", entry.stem)[1]
        told["digest"] = memory._digest(question, told["answer"])
    entry.write_text(json.dumps(told))
    assert kits() == before
