"""Our numbers beside published ones: within tolerance, read from the files, and loud when a file says otherwise."""

import shutil
import time

import pytest
from sentences import is_one_sentence

import suspension_lab as lab
from suspension_lab.common.reference import Reference, reference, reference_folder
from suspension_lab.common.shipped import shipped_folder
from suspension_lab.workshop.day_to_day import day_to_day
from suspension_lab.workshop.trust import (
    FORMULA,
    MEASURED,
    ONLY_IN_TESTS,
    TrustRow,
    count_kinds,
    read_trust,
    trust_rows,
)
from suspension_lab.workshop.trust_computed import COMPUTED

FILES = sorted(file.stem for file in reference_folder().glob("*.csv"))
ROWS = trust_rows()


@pytest.fixture
def copied(tmp_path):
    """A copy of the reference files that may be spoiled."""
    return shutil.copytree(reference_folder(), tmp_path / "reference")


def spoil(file, line_begins, old, new):
    """Change one line of a reference file; it must be there."""
    lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
    (at,) = [i for i, line in enumerate(lines) if line.startswith(line_begins)]
    assert old in lines[at]
    lines[at] = lines[at].replace(old, new, 1)
    file.write_text("".join(lines), encoding="utf-8")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.words)
def test_every_row_lies_within_its_tolerance(row):
    assert abs(row.ours - row.reference.value) <= row.reference.tolerance + 1e-12 * abs(row.reference.value)
    assert row.within
    assert row.verdict in ("within", "the same: a definition")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.words)
def test_every_row_has_a_source_that_says_what_kind_it_is(row):
    assert row.reference.source.split(":")[0].split(" after")[0] in ("published", "analytic", "measured")
    assert row.reference.unit
    assert row.words[0].isupper()


def test_no_two_rows_say_the_same():
    assert len({(row.topic, row.words) for row in ROWS}) == len(ROWS)


def test_rows_are_those_of_the_files():
    """Each reference is, word for word, one that a file holds."""
    held = {(quantity, value) for name in FILES for quantity, value in reference(name).items()}
    assert {(row.reference.quantity, row.reference) for row in ROWS} <= held


@pytest.mark.parametrize("name", FILES)
def test_each_file_is_read_and_told_of(name, copied):
    (copied / f"{name}.csv").unlink()
    with pytest.raises(lab.LabError, match=f"{name}.csv: there is no such file"):
        trust_rows(copied)
    assert name in ONLY_IN_TESTS


def test_nothing_is_told_of_a_file_that_is_not_there():
    assert sorted(ONLY_IN_TESTS) == FILES


def test_a_spoiled_value_is_called_so(copied):
    """ISO 8608's class C four times too small, as if it were class B's, and a viscosity a thousandth off."""
    spoil(copied / "road_classes.csv", "mean of class C", ",256,", ",64,")
    spoil(copied / "oil.csv", "32 and 5.4 at 80 C", ",8.533,", ",8.543,")
    rows = trust_rows(copied)
    outside = [row for row in rows if not row.within]
    assert [row.reference.quantity for row in outside] == ["mean of class C", "32 and 5.4 at 80 C"]
    assert outside[0].verdict == "outside: not the same"
    assert outside[1].verdict.startswith("outside: 9.8 times")
    said = read_trust(rows)
    assert said[0].startswith(f"2 of {len(rows)} numbers lie outside")
    assert all(row.words in said[0] for row in outside)
    assert said[1].startswith("Do not rely on this copy")


@pytest.mark.parametrize("ours", [float("nan"), float("inf"), -float("inf")])
def test_what_is_no_number_never_lies_within(ours):
    row = TrustRow(
        topic="t", words="w", ours=ours,
        reference=Reference(quantity="q", value=1.0, unit="1", tolerance=1e9, source="published: s"),
    )  # fmt: skip
    assert not row.within
    assert row.verdict.startswith("outside")


def test_a_quantity_that_is_gone_is_told(copied):
    spoil(copied / "plate.csv", "passenger car at damping ratio 0.3", "ratio 0.3", "ratio 0.31")
    with pytest.raises(lab.LabError, match=r"plate\.csv has no quantity 'passenger car at .* 0\.3'") as caught:
        trust_rows(copied)
    assert is_one_sentence(str(caught.value))


def test_sentences_when_all_is_well():
    said = read_trust(ROWS)
    assert said[0] == f"All {len(ROWS)} numbers lie within their tolerance."
    kinds = [row.reference.source.split()[0].rstrip(":") for row in ROWS]
    copied_over = [row for row in ROWS if row.reference.tolerance == 0.0]
    assert f"Of the {len(ROWS)} values {kinds.count('published') - len(copied_over)} stand in print" in said[1]
    assert f"{kinds.count('analytic')} follow" in said[1]
    assert f"takes over: {len(copied_over)};" in said[1]
    assert sum(count_kinds(ROWS).values()) == len(ROWS)


def test_what_is_only_copied_is_marked_and_counted_apart():
    """What the standard sets and the lab writes down once more; a factor of a formula is no print."""
    marked = {row.reference.quantity for row in ROWS if row.verdict.endswith("a definition")}
    assert marked == {"mean of class A", "mean of class C", "ISO VG 32 midpoint"}
    formulas = {row.reference.quantity for row in ROWS if row.kind == FORMULA}
    assert {"sine, dry friction, over F / V", "Gaussian, dry friction, over F / sigma"} <= formulas


def test_the_measured_row_says_what_swung_and_what_was_given():
    (row,) = [row for row in ROWS if row.kind == MEASURED]
    assert "bicycle part" in row.words
    # Offset, frequency and the decay in proportion are read from the file; the friction alone is fitted.
    assert "three of the fit's four numbers are given" in row.words
    assert "checks the fit only" in read_trust(ROWS)[1]
    head = (shipped_folder("data/measured") / "pendulum_decay.csv").read_text(encoding="utf-8").splitlines()[0]
    assert "bicycle part swung as a pendulum" in head


@pytest.mark.benchmark
def test_the_whole_table_takes_no_more_than_a_few_seconds():
    """Asked for: about 3 s. Of the processor, so that others at work do not count; what is compiled is there by now."""
    begun = time.process_time()
    for computed in COMPUTED.values():
        list(computed(None))
    assert time.process_time() - begun < 3.0


def test_day_to_day_moves_what_physics_says():
    """Thicker oil overshoots less; a harder tyre varies its load more; a click closed overshoots less than one open."""
    station = lab.load_station("courier_scooter_rear")
    days = day_to_day(station)
    rows = {row.varied.split()[0]: row for row in days.rows}
    assert list(rows) == ["load", "tyre", "oil", "friction", "rebound"]
    at = {measure.key: i for i, measure in enumerate(days.usual)}
    over, load = at["overshoot"], at["tyre_load_variation"]
    assert rows["oil"].low[over].value < days.usual[over].value < rows["oil"].high[over].value
    assert rows["rebound"].low[over].value < days.usual[over].value < rows["rebound"].high[over].value
    assert rows["tyre"].low[load].value < days.usual[load].value < rows["tyre"].high[load].value
    # The load at rest divides what varies: a light vehicle's varies more of it.
    assert rows["load"].low[load].value > days.usual[load].value > rows["load"].high[load].value
    assert rows["load"].varied == "load 43 kg to 53 kg"


def test_what_lesson_09_says_of_a_day_in_words():
    """The oil moves the overshoot nearly as much as a click; load and tyre move the tyre load variation far more."""
    days = day_to_day(lab.load_station("courier_scooter_rear"))
    spans = {
        row.varied.split()[0]: {
            low.key: abs(high.value - low.value) for low, high in zip(row.low, row.high, strict=True)
        }
        for row in days.rows
    }
    assert 0.5 < spans["oil"]["overshoot"] / spans["rebound"]["overshoot"] <= 1.0
    assert min(spans[name]["tyre_load_variation"] for name in ("load", "tyre")) > (
        3.0 * spans["rebound"]["tyre_load_variation"]
    )


def test_a_damper_closed_to_its_end_has_no_click_to_spare():
    station = lab.load_station("courier_scooter_rear").with_clicks(rebound=0)
    assert [row.varied.split()[0] for row in day_to_day(station).rows] == ["load", "tyre", "oil", "friction"]
