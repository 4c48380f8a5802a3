"""What the ledger has to say of the stock workbook beside it, to a run that plans."""

import os
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.sheets.finding import Located, stock_path
from reconcile.values.catalogue import NOTICE
from reconcile.values.ledger.mark import APART, BEFORE
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.stock.parts import Stock
from reconcile.values.week.results import Inputs
from reconcile.work.marks import ledger_beside, mark_on, noticed

if TYPE_CHECKING:
    from reconcile.ledger.book import Ledger


def finish_stopped(places: Located) -> list[Problem]:
    """Finishes a closing that was stopped, before the sheets are read: they are planned as it left them.

    Nothing, and nothing loaded, where there is no ledger. What stands in its way is a notice. Raises
    Unusable: ledger-broken, ledger-busy.
    """
    try:
        workbook = stock_path(places)
    except Unusable:
        return []  # whoever reads the sheets names this, with all else that is missing
    if not os.path.lexists(ledger_beside(workbook)):
        return []
    from reconcile.ledger.book import open_ledger
    from reconcile.ledger.booking import settle
    from reconcile.ledger.files import digest
    from reconcile.ledger.trust import compared

    ledger = open_ledger(ledger_beside(workbook), create=False)
    if ledger is None:
        return []
    with ledger:
        if compared(mark_on(workbook), digest(workbook), ledger) in APART:
            return []
        try:
            return settle(ledger, workbook.parent)
        except Unusable as unusable:
            return planned_without(unusable)


def planned_without(unusable: Unusable) -> list[Problem]:
    """What is refused, as notices. Raises Unusable again for a ledger that is broken or in use."""
    if any(fault.code.startswith("ledger-") for fault in unusable.problems):
        raise unusable
    did = "The week was planned without it."
    return [replace(fault, severity=NOTICE, did=did) for fault in unusable.problems]


def remarks_of_ledger(inputs: Inputs, places: Located) -> list[Problem]:
    """That the ledger is lost or another's, that a closing is not finished, that the workbook is an old one;
    or every part and order of which it says otherwise. Nothing, and nothing loaded, where neither is there.

    Raises Unusable: ledger-broken, ledger-busy; ledger-other for one that is by its balances another's.
    """
    workbook = stock_path(places)
    borne = mark_on(workbook)
    if borne is None and not os.path.lexists(ledger_beside(workbook)):
        return []
    from reconcile.ledger.book import open_ledger
    from reconcile.ledger.trust import compared

    digest = next((file.sha256 for file in inputs.files if file.role == "stock"), "")
    ledger = open_ledger(ledger_beside(workbook), create=False)
    standing = compared(borne, digest, ledger)
    if standing in APART:
        if ledger is not None:
            ledger.close()
        return [noticed(workbook, standing, borne)]
    if ledger is None:
        return []
    with ledger:
        return [*unfinished(ledger, workbook), *of_the_sheet(ledger, inputs.stock, workbook, standing)]


def unfinished(ledger: "Ledger", workbook: Path) -> list[Problem]:
    """That a closing was stopped and is still to be finished, for a run that leaves that to others."""
    if ledger.unfinished() is None:
        return []
    from reconcile.work.booking import finish

    try:
        return finish(ledger, workbook, finishes=False)
    except Unusable as unusable:
        return planned_without(unusable)


def of_the_sheet(ledger: "Ledger", stock: Stock, workbook: Path, standing: str) -> list[Problem]:
    """That the workbook is from before the last closing; or part by part what differs."""
    from reconcile.plan.closing.movements import difference_problem, differences
    from reconcile.plan.closing.renamed import renamed
    from reconcile.plan.ordering.standing import order_difference_problem
    from reconcile.work.ordering.beside import orders_there

    last = ledger.last()
    if last is not None and standing == BEFORE:
        says = f"{workbook.name} is the workbook from before the closing {last.name}."
        return [problem("stock-outdated", Place(workbook.name), says, found=last.name)]
    balances = ledger.balances()
    if mark_on(workbook) is None:
        refuse_other(stock, balances, ledger.path.name)
    found = differences(stock, balances, ledger.units(), workbook.name)
    apart = orders_there(ledger, stock, workbook.name).differences
    return [
        *renamed(stock, balances),
        *(difference_problem(difference, noticed=True) for difference in found),
        *(order_difference_problem(difference, noticed=True) for difference in apart),
    ]


def refuse_other(stock: Stock, balances: Mapping[tuple[str, str], Fraction], name: str) -> None:
    """Raises Unusable (ledger-other) where nothing that the ledger keeps is on the sheet.

    That is: none of its bins, and of no part as much in all. Bins may have other names by now, and parts
    another quantity, but hardly all at once.
    """
    there = {(part.number, place.name) for part in stock.parts.values() for place in part.bins}
    kept: dict[str, Fraction] = {}
    for (part, _), quantity in balances.items():
        kept[part] = kept.get(part, Fraction(0)) + quantity
    as_much = any(stock.parts[part].on_hand == kept[part] for part in kept if part in stock.parts)
    if kept and there.isdisjoint(balances) and not as_much:
        told = f"The stock sheet has none of the bins that {name} keeps, and of no part as much."
        raise Unusable(problem("ledger-other", Place(name), told))
