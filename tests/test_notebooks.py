"""Notebooks: kept without outputs, explained, and run. CI runs them with a kernel; here, as plain code."""

import ast
import json
from pathlib import Path

import pytest

NOTEBOOKS = sorted((Path(__file__).resolve().parent.parent / "notebooks").glob("*.ipynb"))
SLOW = {"which_jobs_get_a_kit"}
"""Half a minute and more: CI alone runs them whole."""


def cells(path: Path, kind: str) -> list[str]:
    book = json.loads(path.read_text("utf-8"))
    return ["".join(cell["source"]) for cell in book["cells"] if cell["cell_type"] == kind]


def test_there_are_notebooks_for_the_four_questions() -> None:
    assert [path.stem for path in NOTEBOOKS] == [
        "a_week_step_by_step",
        "how_long_must_the_bolt_be",
        "how_much_to_order",
        "which_jobs_get_a_kit",
    ]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_is_kept_without_outputs_and_begins_with_words(path: Path) -> None:
    book = json.loads(path.read_text("utf-8"))
    code = [cell for cell in book["cells"] if cell["cell_type"] == "code"]
    assert [cell["outputs"] for cell in code] == [[]] * len(code)
    assert {cell["execution_count"] for cell in code} == {None}
    assert book["cells"][0]["source"].startswith("# ")
    assert "invented" in " ".join(cells(path, "markdown"))


def test_the_one_on_bolts_says_that_its_figures_are_for_no_chair() -> None:
    (path,) = (each for each in NOTEBOOKS if each.stem == "how_long_must_the_bolt_be")
    text = " ".join(" ".join(cells(path, "markdown")).split())
    assert "Use no figure of this page on a chair" in text
    assert "qualified technician" in text


@pytest.mark.slow
@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_runs(path: Path) -> None:
    """Every cell in one namespace; of the slow one a few weeks stand for all."""
    pytest.importorskip("matplotlib", reason="needs the extra notebooks").use("Agg")
    names: dict[str, object] = {}
    for source in cells(path, "code"):
        text = source.replace("WEEKS, SEED = 200, 49", "WEEKS, SEED = 6, 49") if path.stem in SLOW else source
        exec(compile(ast.parse(text), str(path), "exec"), names)
    assert "reconcile" in names
