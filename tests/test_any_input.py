"""Whatever a file holds, reading it gives numbers or one sentence, never another error (property tests)."""

from __future__ import annotations

import contextlib
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from sentences import is_one_sentence, on_one_line

import suspension_lab as lab
from suspension_lab.workshop.soundness import doubts

DEMO = [
    line.partition("#")[0].rstrip()
    for line in lab.demo_vehicles()["courier_scooter_rear"].read_text(encoding="utf-8").splitlines()
    if line.partition("#")[0].strip()
]
NUMBERED = [i for i, line in enumerate(DEMO) if "=" in line]
TYRE_DAMPING = next(i for i, line in enumerate(DEMO) if line.startswith("damping_N_s_per_m"))
QUICK = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])

numbers = st.one_of(st.floats(), st.integers(), st.floats(min_value=0.0, max_value=300.0).map(lambda x: round(x, 2)))
values = st.recursive(
    st.one_of(
        numbers.map(str),
        st.text(alphabet=st.characters(exclude_characters='"\\', exclude_categories=["C"]), max_size=5).map(
            '"{}"'.format
        ),
        st.sampled_from(["true", "1979-05-27", "07:32:00", "[", "", "-", "0x1F", "[[1.0]]", '"two-slope"']),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]"),
        st.tuples(st.sampled_from(["closed", "open", "kind", "x"]), inner).map(
            lambda pair: f"{{ {pair[0]} = {pair[1]} }}"
        ),
    ),
    max_leaves=4,
)
cells = st.one_of(
    numbers.map(str),
    st.sampled_from(["", " ", "nan", "1,5", "clicks", "shaft speed [mm/s]", "force", "distance", "height"]),
)
tables = st.tuples(
    st.sampled_from([",", ";", "\t", " ", ", "]),
    st.lists(st.lists(cells, max_size=4), max_size=6),
).map(lambda made: "\n".join(made[0].join(row) for row in made[1]))


@pytest.fixture(scope="module")
def file(tmp_path_factory) -> Path:
    return tmp_path_factory.mktemp("any") / "any.toml"


@contextlib.contextmanager
def one_sentence_at_most():
    """Let no other error out than one sentence."""
    message = None
    try:
        yield
    except lab.LabError as error:
        message = str(error)
    assert message is None or is_one_sentence(message), message


def use(station: lab.Station) -> None:
    """What the command line asks of a station."""
    doubts(station)
    with one_sentence_at_most():
        trace = lab.simulate(station, lab.Release(depth=0.01), 0.02)
        assert np.isfinite(trace.body).all()


@QUICK
@given(
    content=st.one_of(st.binary(max_size=200), st.text(max_size=200).map(lambda text: text.encode("utf-8", "replace")))
)
def test_any_content(content: bytes, file: Path):
    file.write_bytes(content)
    for read in (lab.load_station, lab.roads.read_csv, lab.MeasuredDamper.from_csv):
        with one_sentence_at_most():
            read(file)


@QUICK
@given(changes=st.lists(st.tuples(st.sampled_from(NUMBERED), values), min_size=1, max_size=2))
def test_any_value_in_a_vehicle_file(changes: list[tuple[int, str]], file: Path):
    lines = list(DEMO)
    for at, value in changes:
        lines[at] = f"{lines[at].partition('=')[0]}= {value}"
    file.write_text("\n".join(lines), encoding="utf-8")
    with one_sentence_at_most():
        use(lab.load_station(file))


@QUICK
@example(scaled=[(TYRE_DAMPING, 2.0)])
@given(scaled=st.lists(st.tuples(st.sampled_from(NUMBERED), st.floats(-2.0, 2.0)), min_size=1, max_size=6))
def test_any_number_larger_or_smaller_in_a_vehicle_file(scaled: list[tuple[int, float]], file: Path):
    lines = list(DEMO)
    for at, power in scaled:
        lines[at] = re.sub(r"\d+\.\d+", lambda found, power=power: repr(float(found.group()) * 10.0**power), lines[at])
    file.write_text("\n".join(lines), encoding="utf-8")
    with one_sentence_at_most():
        use(lab.load_station(file))


@QUICK
@given(
    at=st.integers(0, len(DEMO) - 1),
    how=st.sampled_from(["drop", "double", "move", "cut", "key"]),
    to=st.integers(0, len(DEMO) - 1),
)
def test_any_line_out_of_place_in_a_vehicle_file(at: int, how: str, to: int, file: Path):
    lines = list(DEMO)
    line = lines.pop(at) if how in ("drop", "move") else lines[at]
    if how in ("double", "move"):
        lines.insert(to, line)
    elif how == "cut":
        lines[at] = line[: to % len(line)]
    elif how == "key":
        lines[at] = f"{DEMO[to].partition('=')[0]}={line.partition('=')[2]}"
    file.write_text("\n".join(lines), encoding="utf-8")
    with one_sentence_at_most():
        use(lab.load_station(file))


@QUICK
@given(content=tables)
def test_any_table_of_numbers(content: str, file: Path):
    file.write_text(content, encoding="utf-8")
    with one_sentence_at_most():
        road = lab.roads.read_csv(file)
        assert np.isfinite(road.with_run_in().height).all()
    with one_sentence_at_most():
        force = lab.MeasuredDamper.from_csv(file).force(np.linspace(-2.0, 2.0, 9))
        assert np.isfinite(force).all()


@QUICK
@given(name=st.text(max_size=300))
def test_any_name_of_a_vehicle(name: str):
    with pytest.raises(lab.LabError) as caught:
        lab.load_station(name)
    assert on_one_line(str(caught.value))
