"""What may stand in a vehicle file, in the trade's units, and how it becomes a station."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any, Literal, Union, get_args

import annotated_types
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from suspension_lab.common.errors import LabError, nearest_name
from suspension_lab.vehicle.clicks import Clicks, Span
from suspension_lab.vehicle.damper import Damper, DamperSide, LinearDamper, TwoSlopeDamper
from suspension_lab.vehicle.linkage import MotionRatio
from suspension_lab.vehicle.measured_damper import MeasuredDamper
from suspension_lab.vehicle.spring import Spring
from suspension_lab.vehicle.station import Station
from suspension_lab.vehicle.stop import Stop
from suspension_lab.vehicle.tyre import Tyre
from suspension_lab.vehicle.vehicle_file import line_of


def _between(low: float, high: float) -> Any:
    return Field(ge=low, le=high, allow_inf_nan=False)


# The ranges are wide enough for any wheel from a push scooter to a lorry, and narrow enough to catch a factor of 1000.
Slope = Annotated[float, _between(1.0, 200_000.0)]
Speed = Annotated[float, _between(0.005, 5.0)]
Millimetres = Annotated[float, _between(0.5, 2000.0)]
Ratio = Annotated[float, _between(0.05, 5.0)]
Count = Annotated[int, Field(ge=0, le=200)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


class _Masses(_Part):
    sprung_mass_kg: Annotated[float, _between(1.0, 20_000.0)]
    unsprung_mass_kg: Annotated[float, _between(0.1, 2000.0)]
    rider_mass_kg: Annotated[float, _between(0.0, 5000.0)] = 0.0


class _Spring(_Part):
    rate_N_per_mm: Annotated[float, _between(0.3, 2000.0)] | None = None  # noqa: N815
    progression_N_per_mm2: Annotated[float, _between(0.0, 100.0)] = 0.0  # noqa: N815
    preload_mm: Annotated[float, _between(-200.0, 500.0)] = 0.0
    table_compression_mm: list[Annotated[float, _between(-500.0, 2000.0)]] | None = None
    table_force_N: list[Annotated[float, _between(-1e5, 1e6)]] | None = None  # noqa: N815


class _SlopeSpan(_Part):
    closed: Slope
    open: Slope


class _SpeedSpan(_Part):
    closed: Speed
    open: Speed


class _Side(_Part):
    low_speed_slope_N_s_per_m: Slope | _SlopeSpan  # noqa: N815
    knee_speed_m_per_s: Speed | _SpeedSpan
    high_speed_slope_N_s_per_m: Slope | _SlopeSpan  # noqa: N815


class _Adjusters(_Part):
    rebound: Count | None = None
    low_speed: Count | None = None
    high_speed: Count | None = None

    def given(self) -> dict[str, int]:
        return self.model_dump(exclude_none=True)


class _Linear(_Part):
    kind: Literal["linear"]
    rebound_N_s_per_m: Annotated[float, _between(0.0, 200_000.0)]  # noqa: N815
    compression_N_s_per_m: Annotated[float, _between(0.0, 200_000.0)]  # noqa: N815


class _TwoSlope(_Part):
    kind: Literal["two-slope"]
    rebound: _Side
    compression: _Side
    adjusters: _Adjusters = _Adjusters()
    clicks: _Adjusters = _Adjusters()


class _Measured(_Part):
    kind: Literal["measured"]
    file: str
    clicks: _Adjusters = _Adjusters()


class _Tyre(_Part):
    stiffness_N_per_mm: Annotated[float, _between(5.0, 5000.0)]  # noqa: N815
    damping_N_s_per_m: Annotated[float, _between(0.0, 20_000.0)] = 0.0  # noqa: N815


class _Wheel(_Part):
    radius_mm: Annotated[float, _between(20.0, 1500.0)]


class _Stop(_Part):
    length_mm: Millimetres
    rate_N_per_mm: Annotated[float, _between(0.5, 10_000.0)]  # noqa: N815


class _Travel(_Part):
    wheel_travel_mm: Annotated[float, _between(5.0, 1000.0)]
    bump_stop: _Stop | None = None
    top_out_stop: _Stop | None = None


class _Linkage(_Part):
    motion_ratio: Ratio | list[Ratio] = 1.0
    wheel_travel_mm: list[Annotated[float, _between(-500.0, 1500.0)]] | None = None
    friction_N: Annotated[float, _between(0.0, 2000.0)] = 0.0  # noqa: N815


class _Vehicle(_Part):
    format: Literal[1]
    name: str = Field(min_length=1)
    invented: bool = False
    note: str = ""
    masses: _Masses
    spring: _Spring
    damper: Annotated[Union[_Linear, _TwoSlope, _Measured], Field(discriminator="kind")]  # noqa: UP007
    tyre: _Tyre
    wheel: _Wheel | None = None
    travel: _Travel | None = None
    linkage: _Linkage = _Linkage()


def station_from(content: Mapping[str, Any], file: Path, text: str) -> Station:
    """A station from the content of a vehicle file.

    Args:
        content: the parsed TOML.
        file: for messages, and where a damper's own file is looked for.
        text: the file's text, in which faults are located.

    Raises:
        LabError: the first fault, with file, line and key.
    """
    try:
        vehicle = _Vehicle.model_validate(content)
    except ValidationError as error:
        # A mistyped key is also a missing one; the mistyped one is what the user must mend.
        faults = sorted(error.errors(), key=lambda fault: fault["type"] != "extra_forbidden")
        keys, sentence = _explained(faults[0])
        line = line_of(text, keys)
        raise LabError(f"{file}{f', line {line}' if line else ''}: {sentence}") from None
    try:
        return _station(vehicle, file)
    except LabError as error:
        raise LabError(f"{file}: {error}" if str(file) not in str(error) else str(error)) from None


def _station(vehicle: _Vehicle, file: Path) -> Station:
    def stop(part: _Stop | None) -> Stop | None:
        return None if part is None else Stop(length=part.length_mm * 1e-3, rate=part.rate_N_per_mm * 1e3)

    def scaled(values: list[float] | None, factor: float) -> list[float] | None:
        return None if values is None else [factor * value for value in values]

    spring, linkage, travel = vehicle.spring, vehicle.linkage, vehicle.travel
    ratio: float | MotionRatio
    if isinstance(linkage.motion_ratio, list):
        if linkage.wheel_travel_mm is None:
            raise LabError("linkage.motion_ratio is a list but linkage.wheel_travel_mm is missing; give one for each.")
        ratio = MotionRatio(
            wheel_travel=[1e-3 * value for value in linkage.wheel_travel_mm], ratio=linkage.motion_ratio
        )
    else:
        ratio = linkage.motion_ratio
    return Station(
        name=vehicle.name,
        sprung_mass=vehicle.masses.sprung_mass_kg + vehicle.masses.rider_mass_kg,
        unsprung_mass=vehicle.masses.unsprung_mass_kg,
        rider_mass=vehicle.masses.rider_mass_kg,
        spring=Spring(
            rate=None if spring.rate_N_per_mm is None else spring.rate_N_per_mm * 1e3,
            preload=spring.preload_mm * 1e-3,
            progression=spring.progression_N_per_mm2 * 1e6,
            compression=scaled(spring.table_compression_mm, 1e-3),
            table_force=spring.table_force_N,
        ),
        damper=_damper(vehicle.damper, file),
        tyre=Tyre(stiffness=vehicle.tyre.stiffness_N_per_mm * 1e3, damping=vehicle.tyre.damping_N_s_per_m),
        motion_ratio=ratio,
        travel=None if travel is None else travel.wheel_travel_mm * 1e-3,
        bump_stop=None if travel is None else stop(travel.bump_stop),
        top_out_stop=None if travel is None else stop(travel.top_out_stop),
        friction=linkage.friction_N,
        wheel_radius=None if vehicle.wheel is None else vehicle.wheel.radius_mm * 1e-3,
    )


def _damper(part: _Linear | _TwoSlope | _Measured, file: Path) -> Damper:
    if isinstance(part, _Linear):
        return LinearDamper(rebound=part.rebound_N_s_per_m, compression=part.compression_N_s_per_m)
    if isinstance(part, _Measured):
        return MeasuredDamper.from_csv(file.parent / part.file).with_clicks(**part.clicks.given())

    def value(given: float | _SlopeSpan | _SpeedSpan) -> float | Span:
        return given if isinstance(given, float | int) else Span(closed=given.closed, open=given.open)

    def side(given: _Side) -> DamperSide:
        return DamperSide(
            low_speed_slope=value(given.low_speed_slope_N_s_per_m),
            knee_speed=value(given.knee_speed_m_per_s),
            high_speed_slope=value(given.high_speed_slope_N_s_per_m),
        )

    return TwoSlopeDamper(
        rebound=side(part.rebound),
        compression=side(part.compression),
        adjusters=part.adjusters.given(),
        clicks=Clicks(**part.clicks.given()),
    )


def _explained(fault: Any) -> tuple[tuple[Any, ...], str]:
    """The keys that lead to a fault in the file, and the fault in one sentence."""
    keys, model = _walk(fault["loc"])
    where = ".".join(str(key) for key in keys)
    kind, given = fault["type"], fault["input"]
    if kind == "extra_forbidden":
        known = model.model_fields if model is not None else []
        return keys, f"key '{where}' is not known here; {nearest_name(str(keys[-1]), known)}"
    if kind == "missing":
        return keys, f"'{where}' is missing; add it."
    if kind == "union_tag_not_found":
        return (*keys, "kind"), f"'{where}.kind' is missing; write 'linear', 'two-slope' or 'measured'."
    if kind == "union_tag_invalid":
        known = ("linear", "two-slope", "measured")
        return (
            *keys,
            "kind",
        ), f"'{where}.kind' is '{given.get('kind')}'; {nearest_name(str(given.get('kind')), known)}"
    if kind in ("greater_than_equal", "less_than_equal", "finite_number"):
        return keys, _out_of_range(where, str(keys[-1]), given, model)
    if kind == "literal_error":
        return keys, f"'{where}' is {given!r}; {fault['ctx']['expected']} was expected."
    expected = {"float": "a number", "int": "a whole number", "string": "text in quotes", "bool": "true or false"}
    word = next((text for name, text in expected.items() if kind.startswith(name)), None)
    if word is None:
        word = "a [table]" if kind.startswith("model") else "another kind of value"
    return keys, f"'{where}' is {given!r}, where {word} was expected."


def _walk(location: tuple[Any, ...]) -> tuple[tuple[Any, ...], type[BaseModel] | None]:
    """The keys of a fault as they stand in the file, and the model that holds the last of them."""
    keys: list[Any] = []
    model: type[BaseModel] | None = _Vehicle
    holder: type[BaseModel] | None = _Vehicle
    for key in location:
        fields = {} if model is None else model.model_fields
        if isinstance(key, int):
            continue
        inner = _models_in(fields[key].annotation) if key in fields else {}
        if key not in fields and model is not None and keys and (key in _TAGS or not _named(str(key))):
            model = _TAGS.get(key, model)
            continue
        keys.append(key)
        holder, model = model, next(iter(inner.values()), None)
    return tuple(keys), holder


def _named(key: str) -> bool:
    """Whether a part of a fault's place is a key of the file, and not pydantic's name of a branch of a union."""
    return not (key.startswith("_") or key in ("float", "int") or "[" in key or "constrained" in key)


_TAGS: dict[Any, type[BaseModel]] = {"linear": _Linear, "two-slope": _TwoSlope, "measured": _Measured}


def _models_in(annotation: Any) -> dict[str, type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return {annotation.__name__: annotation}
    found: dict[str, type[BaseModel]] = {}
    for part in get_args(annotation):
        found |= _models_in(part)
    return found


def _out_of_range(where: str, key: str, given: Any, model: type[BaseModel] | None) -> str:
    low, high = _bounds(model, key)
    unit = key.split("_", 1)[-1] if "_" in key else ""
    sentence = f"'{where}' is {given:g}, where {low:g} to {high:g} was expected"
    for factor, change in ((1e-3, "divide by 1000"), (1e3, "multiply by 1000")):
        if low <= given * factor <= high and given:
            return f"{sentence}; check the unit in the key's name ({unit or key}): if it is wrong by 1000, {change}."
    return sentence + "."


def _bounds(model: type[BaseModel] | None, key: str) -> tuple[float, float]:
    low, high = float("-inf"), float("inf")
    if model is None or key not in model.model_fields:
        return low, high
    field = model.model_fields[key]
    pending: list[Any] = [*field.metadata, *get_args(field.annotation)]
    while pending:
        part = pending.pop()
        low = max(low, float(str(part.ge))) if isinstance(part, annotated_types.Ge) else low
        high = min(high, float(str(part.le))) if isinstance(part, annotated_types.Le) else high
        if hasattr(part, "metadata") and not isinstance(part, type):
            pending += part.metadata
        pending += get_args(part)
    return low, high
