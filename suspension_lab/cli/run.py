"""`suspension-lab run VEHICLE TEST [settings]`: a test without a notebook."""

from __future__ import annotations

import argparse
import contextlib
from pathlib import Path
from typing import Any

import numpy as np

from suspension_lab.cli.arguments import Parser, number, whole
from suspension_lab.cli.text import listed, table
from suspension_lab.cli.trials import EXAMPLES, SETTINGS, TESTS, excitation, own_settings
from suspension_lab.cli.vehicle_options import FAULTS_AS_TYPED, add_clicks, add_state, add_vehicle, vehicle_as_set
from suspension_lab.cli.writing import writable, written
from suspension_lab.common import checks
from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.excitation import roads
from suspension_lab.excitation.road import Road
from suspension_lab.measures.inside import inside_summary
from suspension_lab.measures.roughness import international_roughness_index, road_fit
from suspension_lab.measures.summary import summary
from suspension_lab.simulation.simulate import simulate
from suspension_lab.simulation.trace import Trace
from suspension_lab.vehicle.hydraulic_damper import HydraulicDamper
from suspension_lab.vehicle.oil import ZERO_CELSIUS
from suspension_lab.vehicle.wear import FAULTS
from suspension_lab.workshop.cautions import RIDING_TEST, STANDING_TEST
from suspension_lab.workshop.reading import read_run
from suspension_lab.workshop.reading_damper import read_inside


def add_to(commands: Any) -> dict[str, Parser]:
    """Add this command to the parser."""
    parser: Parser = commands.add_parser(
        "run",
        help="run a test and print its measures",
        description="Run one test on a vehicle; print its measures, what they mean, and cautions.",
        epilog=_epilog(),
    )
    add_vehicle(parser)
    parser.add_argument("test", metavar="TEST", help=", ".join(TESTS))
    add_clicks(parser, "the vehicle's clicks, where they differ from its file")
    add_state(parser, faults=True)
    settings = parser.add_argument_group("the test, each only where it belongs (see below)")
    for name, setting in SETTINGS.items():
        kind = str if setting.letters else whole if setting.whole else number
        settings.add_argument(f"--{name}", type=kind, metavar=setting.mark, help=setting.help)
    settings.add_argument("--profile", metavar="FILE", help="the road: a CSV of distance and height in m")
    settings.add_argument("--duration", type=number, metavar="S", help="seconds simulated (default: the whole test)")
    out = parser.add_argument_group("files")
    out.add_argument("--csv", metavar="OUT.csv", help="write the signals over time")
    out.add_argument("--picture", metavar="OUT.png", help="write a picture of the run")
    return {"run": parser}


def _epilog() -> str:
    tests = "\n".join(f"  {name:<16} {words}" for name, words in TESTS.items())
    examples = "\n".join(f"  suspension-lab run {example}" for example in EXAMPLES)
    return (
        f"Tests, each with its settings and what they are if not given:\n{tests}\n\nExamples:\n{examples}\n\n"
        "Exit codes: 0 done; 2 bad input; 3 could not write."
    )


def run(arguments: argparse.Namespace) -> int:
    """Run a test, print what it gave, and write the files asked for.

    Returns:
        0.

    Raises:
        LabError: a vehicle, test or setting that cannot be, or a place that cannot be written.
    """
    if arguments.test not in TESTS:
        raise LabError(f"There is no test {shown(arguments.test)}; {nearest_name(arguments.test, TESTS)}")
    given = own_settings(arguments.test, vars(arguments))
    csv, picture = _places(arguments)
    station = vehicle_as_set(arguments)
    profile = None if arguments.profile is None else roads.read_csv(arguments.profile)
    done = excitation(arguments.test, given, profile)
    if arguments.duration is not None:
        checks.number("--duration", arguments.duration, "s", low=0.01, high=3600.0)
    try:
        trace = simulate(station, done, arguments.duration)
    except LabError as error:
        at_rest = station.rests_on_a_stop
        raise LabError(f"{str(error).removesuffix('.')}; mind too that {at_rest}") if at_rest else error from None
    _print(trace, arguments.test, arguments.fault, profile)
    lines = []
    if csv:
        lines.append(f"{written(csv, lambda part: _write_csv(trace, part))}: {csv}")
    if picture:
        from suspension_lab.lab.pictures import save_picture

        lines.append(f"{written(picture, lambda part: save_picture(trace, part))}: {picture}")
    if lines:
        print("\n" + "\n".join(lines))
    return 0


def _places(arguments: argparse.Namespace) -> tuple[Path | None, Path | None]:
    """Where to write, held to be possible before the test is run."""
    csv = Path(arguments.csv) if arguments.csv is not None else None
    picture = Path(arguments.picture) if arguments.picture is not None else None
    if picture and picture.suffix.lower() != ".png":
        raise LabError(f"--picture is {shown(str(picture))}, where a name ending in .png was expected.")
    places = [writable(path) for path in (csv, picture) if path]
    if len(set(places)) < len(places):
        raise LabError("--csv and --picture name the same file; give each its own.")
    for source in (arguments.vehicle, arguments.profile):
        if source is not None and Path(source).resolve() in places:
            raise LabError(f"{source} would be read and written over; give the output another name.")
    return csv, picture


def _print(trace: Trace, test: str, fault: str | None, profile: Road | None) -> None:
    station, measures, sentences = trace.station, list(summary(trace)), read_run(trace)
    if isinstance(station.damper, HydraulicDamper):
        measures += inside_summary(trace)
        sentences += read_inside(trace)
    if fault is not None:
        sentences = [FAULTS[FAULTS_AS_TYPED[fault]], *sentences]
    if profile is not None:
        sentences = [*sentences, _rough(profile)]
    print(f"{station.name}: {test}, {trace.time[-1]:.3g} s")
    print(f"Clicks out from closed: {station.clicks}. Rider and load on this wheel: {station.rider_mass:g} kg.")
    if isinstance(station.damper, HydraulicDamper):
        print(f"Oil: {station.damper.oil_temperature - ZERO_CELSIUS:g} °C.")
    print(f"Fault: {fault}.\n" if fault else "")
    print(table((measure.label, measure.text) for measure in measures))
    print("\n" + listed("What this says", sentences))
    print("\n" + listed("Cautions", STANDING_TEST if test in ("release", "push", "plate") else RIDING_TEST))


def _rough(road: Road) -> str:
    """A profile's roughness and class, as far as they can be told."""
    index = "is too short for an International Roughness Index"
    with contextlib.suppress(LabError):
        found = international_roughness_index(road)
        over = f"the mean of {found.size} stretches of 100 m" if found.size > 1 else "over one stretch"
        index = f"has an International Roughness Index of {found.mean():.2f} m/km, {over}"
    road_class = "it is too short, or its points lie too far apart, to tell its class in ISO 8608"
    with contextlib.suppress(LabError):
        fit = road_fit(road)
        waviness = f" (waviness {fit.waviness:.1f}; the classes are made for 2)" if fit.roughness else ""
        road_class = f"by its spectrum it is of class {fit.road_class} in ISO 8608{waviness}"
    return f"The road {index}; {road_class}."


def _write_csv(trace: Trace, path: Path) -> None:
    """The signals over time, the unit of each in its heading; motion from ride height, up positive."""
    columns = {
        "time_s": trace.time,
        "body_mm": 1e3 * trace.body,
        "wheel_mm": 1e3 * trace.wheel,
        "road_mm": 1e3 * trace.road,
        "wheel_travel_mm": 1e3 * trace.wheel_travel,
        "shaft_travel_mm": 1e3 * trace.shaft_travel,
        "shaft_speed_m_per_s": trace.shaft_speed,
        "damper_force_N": trace.damper_force,
        "spring_force_N": trace.spring_force,
        "tyre_load_N": trace.tyre_load,
        "body_acceleration_m_per_s2": trace.body_acceleration,
        "wheel_acceleration_m_per_s2": trace.wheel_acceleration,
        "hand_force_N": trace.hand_force,
    }
    values = np.column_stack(list(columns.values()))
    np.savetxt(path, values, fmt="%.7g", delimiter=",", header=",".join(columns), comments="", encoding="utf-8")
