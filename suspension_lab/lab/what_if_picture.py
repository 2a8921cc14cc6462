"""A what-if as a table and as a picture of bars."""

from __future__ import annotations

import html
import math
from collections.abc import Callable, Iterable, Sequence
from io import BytesIO
from itertools import groupby

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from suspension_lab.lab.look import EDGE, OUTLINE, Band
from suspension_lab.workshop.what_if import STANDS_OUT, Change

BETTER = Band(label="better", colour="#0072B2", hatch="")
WORSE = Band(label="worse", colour="#D55E00", hatch="////")
NEITHER = Band(label="changed", colour="#E69F00", hatch="....")
BANDS = {band.label: band for band in (BETTER, WORSE, NEITHER)}
WITHIN_GREY = "#E4E4E4"
MOST = 5.0
"""Bars longer than so many times what stands out end in an arrow."""
ONE_COUNT = 0.5
"""What counts against a count that never scatters: any change of it stands out."""
SMALL = 8.5
HEADS = (
    "Test", "Measure", "It gets", "Before", "After", "Change (range in nine of ten variations)", "Sure",
    "Stands out",
)  # fmt: skip
CELL = "text-align:left;vertical-align:top;padding:3px 12px 3px 4px;border-bottom:"
TABLE = "color:#111;line-height:1.4;border-collapse:collapse;max-width:1040px"
EMPTY = "Nothing is worked out yet."
AXIS = "change over the least that stands out; line: nine of ten variations; hollow bar: not sure"
UNCHANGED = "Nothing watched here changes by more than is worth a word."


def what_if_table(changes: Sequence[Change], caption: str) -> str:
    """What changes by more than is worth a word, by test; what stays the same is folded behind one line.

    Args:
        changes: of a `WhatIf`.
        caption: above the table.

    Returns:
        HTML.
    """
    told = [change for change in changes if change.worth_a_word]
    same = [change for change in changes if not change.worth_a_word]
    head = f'<caption style="text-align:left;font-weight:600">{html.escape(caption)}</caption>'
    made = f'<table style="{TABLE}">{head}{_head(HEADS)}{_body(told, _told_cells)}</table>' if told else ""
    if not same:
        return made
    count = "1 measure stays" if len(same) == 1 else f"{len(same)} measures stay"
    stay = '<caption style="text-align:left;font-weight:600">What stays the same</caption>'
    rest = f'<table style="{TABLE}">{stay}{_head((*HEADS[:2], *HEADS[3:5]))}{_body(same, _same_cells)}</table>'
    return f'{made}<details style="margin:6px 0"><summary>{count} the same</summary>{rest}</details>'


def _head(texts: Sequence[str]) -> str:
    inner = "".join(f'<th scope="col" style="{CELL}2px solid #555">{html.escape(text)}</th>' for text in texts)
    return f"<thead><tr>{inner}</tr></thead>"


def _body(changes: Iterable[Change], cells: Callable[[Change], str]) -> str:
    """Rows, with the test's name once for all of its measures."""
    lines = []
    for test, group in groupby(changes, key=lambda change: change.test):
        rows = [cells(change) for change in group]
        first = f'<th scope="rowgroup" rowspan="{len(rows)}" style="{CELL}1px solid #555">{html.escape(test)}</th>'
        lines += [f"<tr>{first if at == 0 else ''}{row}</tr>" for at, row in enumerate(rows)]
    return f"<tbody>{''.join(lines)}</tbody>"


def _told_cells(change: Change) -> str:
    word = f"<strong>{change.direction}</strong>" if change.direction == WORSE.label else change.direction
    sure = "yes" if change.sure else f"no: so in {100.0 * change.agree:.0f} %"
    plain = (_before(change), change.after.text, change_in_words(change), sure, "yes" if change.stands_out else "no")
    return _name(change) + _cell(word) + "".join(_cell(html.escape(text)) for text in plain)


def _same_cells(change: Change) -> str:
    return _name(change) + _cell(html.escape(_before(change))) + _cell(html.escape(change.after.text))


def _before(change: Change) -> str:
    """Without the unit, which stands behind the number after; what has no number, or is counted, in words."""
    measure = change.before
    return measure.shown if math.isfinite(measure.value) and measure.unit != "times" else measure.text


def _name(change: Change) -> str:
    return f'<th scope="row" style="{CELL}1px solid #ccc;font-weight:400">{html.escape(change.kind.name)}</th>'


def _cell(inner: str) -> str:
    return f'<td style="{CELL}1px solid #ccc">{inner}</td>'


def change_in_words(change: Change) -> str:
    """'+0.4 (+0.3 to +0.5)', in the measure's unit; a digit more where one alone would be left, but not of a count."""
    digits = change.kind.digits
    if change.kind.resolution and abs(change.change) < 10.0 ** (1 - digits):
        digits += 1
    span = f"({_signed(change.low, digits)} to {_signed(change.high, digits)})"
    if not math.isfinite(change.change):
        return f"{'no longer' if change.change > 0.0 else 'now'} within the run {span}"
    return f"{_signed(change.change, digits)} {span}"


def _signed(value: float, digits: int) -> str:
    text = f"{value:+.{digits}f}"
    return text[1:] if float(text) == 0.0 else text.replace("-", "\N{MINUS SIGN}")


def least_that_stands_out(change: Change) -> float:
    """What a change must exceed to be worth a word and to stand out, in the measure's unit."""
    return max(STANDS_OUT * change.blur, change.kind.resolution) or ONE_COUNT


def what_if_picture(changes: Sequence[Change] | None, *, dots_per_inch: float = 150.0) -> bytes:
    """One bar for each change that is worth a word, with its range, as PNG.

    Measures have different units, so each bar is as long as its change over the least that stands out. Better goes to
    the right, worse to the left; what is neither has a diagram of its own.

    Args:
        changes: of a `WhatIf`; None: nothing is worked out yet, and the frame is empty.
        dots_per_inch: of a picture 8.6 inches wide.
    """
    told = [change for change in changes or () if change.worth_a_word]
    judged = [change for change in told if change.direction != NEITHER.label]
    neither = [change for change in told if change.direction == NEITHER.label]
    diagrams = [rows for rows in (_rows(judged), _rows(neither)) if rows]
    height = sum(0.7 + 0.23 * len(rows) for rows in diagrams) if diagrams else 1.4
    figure = Figure(figsize=(8.6, height), dpi=dots_per_inch, facecolor="white", layout="constrained")
    FigureCanvasAgg(figure)
    if not diagrams:
        figure.text(0.5, 0.5, EMPTY if changes is None else UNCHANGED, ha="center", va="center", style="italic")
    else:
        drawn = figure.subplots(
            len(diagrams), 1, squeeze=False, sharex=True, height_ratios=[2.0 + len(rows) for rows in diagrams]
        )
        for axes, rows in zip(drawn[:, 0], diagrams, strict=True):
            _draw(axes, rows)
        drawn[-1, 0].set_xlabel(AXIS, fontsize=SMALL)
        longest = max(2.0, *(abs(end) for axes in drawn[:, 0] for end in axes.dataLim.intervalx))
        drawn[-1, 0].set_xlim(-1.08 * longest, 1.08 * longest)
    out = BytesIO()
    figure.savefig(out, format="png")
    return out.getvalue()


def _rows(changes: Sequence[Change]) -> list[str | Change]:
    """Each test's name and below it its changes."""
    rows: list[str | Change] = []
    for test, group in groupby(changes, key=lambda change: change.test):
        rows += [test, *group]
    return rows


def _draw(axes: Axes, rows: Sequence[str | Change]) -> None:
    axes.axvspan(-1.0, 1.0, facecolor=WITHIN_GREY, edgecolor=EDGE, linewidth=0.8, zorder=0)
    for at, change in enumerate(rows):
        if isinstance(change, Change):
            _bar(axes, at, change)
    axes.axvline(0.0, color="#000000", linewidth=1.0)
    axes.set_ylim(len(rows) - 0.3, -0.7)
    axes.set_yticks(range(len(rows)), [row if isinstance(row, str) else row.kind.name for row in rows], fontsize=SMALL)
    for label, row in zip(axes.get_yticklabels(), rows, strict=True):
        label.set_fontweight("bold" if isinstance(row, str) else "normal")
    neither = any(isinstance(row, Change) and row.direction == NEITHER.label for row in rows)
    ends = ("← less", "more →") if neither else ("← worse", "better →")
    axes.set_title(ends[0], loc="left", fontsize=SMALL + 0.5, fontweight="bold")
    axes.set_title(ends[1], loc="right", fontsize=SMALL + 0.5, fontweight="bold")
    axes.set_title("grey band: less than differs from day to day", loc="center", fontsize=SMALL)
    axes.tick_params(axis="y", length=0.0)
    axes.tick_params(axis="x", labelsize=SMALL)
    axes.spines[["top", "right", "left"]].set_visible(False)


def _bar(axes: Axes, at: int, change: Change) -> None:
    """A change and its range, cut at `MOST`."""
    toward = -1.0 if change.kind.smaller_is == "better" else 1.0
    scale = toward / least_that_stands_out(change)
    whole = scale * change.change
    end, low, high = (max(-MOST, min(MOST, value)) for value in (whole, scale * change.low, scale * change.high))
    band = BANDS[change.direction]
    face = band.colour if change.sure else "#FFFFFF"
    axes.barh(at, end, height=0.62, facecolor=face, edgecolor="#FFFFFF" if change.sure else band.colour,
              hatch=band.hatch, linewidth=0.0 if change.sure else 1.2, zorder=2)  # fmt: skip
    axes.barh(at, end, height=0.62, facecolor="none", edgecolor=OUTLINE, linewidth=2.6, zorder=1.9)
    axes.plot([low, high], [at, at], color="#000000", linewidth=1.1, marker="|", markersize=6.0, zorder=3)
    if abs(whole) > MOST:
        axes.plot([end], [at], color="#000000", marker=">" if whole > 0.0 else "<", markersize=6.0, zorder=4)


def picture_in_words(changes: Sequence[Change] | None) -> str:
    """The picture as one sentence, for screen readers."""
    if changes is None:
        return EMPTY
    told = [change for change in changes if change.worth_a_word]
    if not told:
        return UNCHANGED
    parts = []
    for word in BANDS:
        for out, place in ((True, "standing out"), (False, "within what differs from day to day")):
            names = [f"{change.kind.name} on {change.test}" for change in told
                     if change.direction == word and change.stands_out == out]  # fmt: skip
            if names:
                parts.append(f"{word}, {place}: {', '.join(names)}")
    return f"Bars of the changes with their ranges, each over the least that stands out; {'; '.join(parts)}."
