"""A replayed year on the screen: the policies side by side, and in plain words who served better."""

from collections.abc import Iterator

from reconcile.reports.writing.text import wrapped
from reconcile.reports.writing.wording import count_text
from reconcile.values.measure import percent
from reconcile.values.rules import KITS
from reconcile.values.week.levels import GIVEN, PLAIN, Gain, Replayed, ReplayResult, Spread

AGAINST = {GIVEN: "the sheet's levels", PLAIN: "the plain rule (mean and deviation)"}


def replay_screen(result: ReplayResult) -> str:
    sections = (
        opening(result),
        figures(result),
        [line for one in result.gains for line in gain_lines(one, result)],
    )
    return "\n\n".join("\n".join(lines) for each in sections if (lines := list(each)))


def opening(result: ReplayResult) -> Iterator[str]:
    yield wrapped(verdict(result))
    yield wrapped(
        f"{count_text(result.weeks, 'week')} after a start from full shelves, drawn {len(result.seeds)} times"
        f" from {result.drawn_from}; {count_text(len(result.parts), 'part')},"
        f" {result.left_out} without levels to compare left out."
    )


def verdict(result: ReplayResult) -> str:
    """First what purchasing must know: whether the proposal loses, and to whom."""
    lost = [AGAINST[one.against] for one in result.gains if one.fill_at_equal_value.high < 0]
    behind = [
        AGAINST[one.against]
        for one in result.gains
        if one.fill_at_equal_value.mean < 0 <= one.fill_at_equal_value.high
    ]
    if lost:
        return f"The proposal loses against {' and '.join(lost)}: for the same money it serves less."
    if behind:
        names = " and ".join(behind)
        return (
            f"For the same money the proposal serves less than {names} in the mean, within what chance does."
        )
    return "For the same money the proposal serves no less than the others."


def figures(result: ReplayResult) -> Iterator[str]:
    money = result.currency or "units"
    yield f"{'levels':<12}{'need met':>20}{'whole kits':>20}{'shelf, ' + money:>18}{'orders':>9}"
    for one in result.policies:
        kits = "-" if one.kits is None else share_range(one.kits)
        yield (
            f"{one.policy:<12}{share_range(one.fill):>20}{kits:>20}{one.value.mean:>18.2f}{one.orders.mean:>9.1f}"
        )
    yield wrapped("Means, and where nineteen of twenty draws lie.")


def share_range(spread: Spread) -> str:
    return f"{100 * spread.mean:.1f} ({100 * spread.low:.1f}-{100 * spread.high:.1f})"


def gain_lines(gain: Gain, result: ReplayResult) -> Iterator[str]:
    what = "of jobs with a whole kit" if gain.measure == KITS else "of need met"
    served, saved = gain.fill_at_equal_value, gain.value_at_equal_fill
    rival = next(one for one in result.policies if one.policy == gain.against)
    yield wrapped(
        f"Against {AGAINST[gain.against]}, with its order sizes: at equal shelf value"
        f" {100 * served.mean:+.2f} points {what} ({100 * served.low:+.2f} to {100 * served.high:+.2f});"
        f" at equal service {saved.mean:+.2f} {result.currency} of shelf value saved"
        f" ({saved.low:+.2f} to {saved.high:+.2f}), {share_of(gain, rival)} of it."
    )
    if gain.beyond_curve:
        yield wrapped(
            f"In {count_text(gain.beyond_curve, 'draw')} the other lay beyond what was tried of the proposal,"
            " whose nearest end stands for it.",
        )


def share_of(gain: Gain, rival: Replayed) -> str:
    """The value saved, as a share of the other's shelf."""
    return percent(gain.value_at_equal_fill.mean / rival.value.mean) if rival.value.mean else "nothing"
