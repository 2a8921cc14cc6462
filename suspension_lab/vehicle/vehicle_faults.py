"""A fault of a vehicle file told in one sentence: line, key, what was expected, how to mend it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any, get_args

import annotated_types
from pydantic import BaseModel
from pydantic_core import ErrorDetails

from suspension_lab.common.errors import LabError, nearest_name, shown
from suspension_lab.vehicle.oil import ZERO_CELSIUS

Keys = tuple[str | int, ...]
"""The keys that lead to a value of the file, as they stand in it; a number counts the entries of a list from 0."""

_UNITS = {
    "N_per_mm2": "N/mm²", "N_per_mm": "N/mm", "N_s_per_m": "N s/m", "m_per_s": "m/s", "mm": "mm", "kg": "kg", "N": "N",
    "mm2_per_s": "mm²/s", "kg_per_m3": "kg/m³", "cm3": "cm³", "mm2": "mm²", "bar": "bar", "deg": "°", "C": "°C",
}  # fmt: skip
_MISTAKEN = {
    "N/mm": (1e-3, "N/m"), "kg": (1e-3, "g"), "m/s": (1e-3, "mm/s"),
    "mm": (1e3, "m"), "N": (1e3, "kN"), "N s/m": (1e3, "N s/mm"),
    "bar": (1e-5, "Pa"), "mm²/s": (1e6, "m²/s"), "cm³": (1e-3, "mm³"), "kg/m³": (1e3, "g/cm³"),
}  # fmt: skip
"""Unit of a key -> what to multiply by, and the unit that was used instead, where a value is wrong by 1000."""
MOST_HOMES = 3
"""A key that more tables know is told by its nearest name instead."""
_EXPECTED = {
    "float": "a number", "int": "a whole number", "string_too_short": "at least one letter", "string": "text in quotes",
    "bool": "true or false", "list": "a list of numbers in [brackets]", "model": "a table",
}  # fmt: skip


class VehicleFileError(LabError):
    """A fault that belongs to a key of the file."""

    def __init__(self, keys: Keys, sentence: str) -> None:
        super().__init__(sentence)
        self.keys = keys


@contextmanager
def within(*keys: str) -> Iterator[None]:
    """Tell an error raised inside as one of this table or key of the file.

    Raises:
        VehicleFileError: in place of a LabError without a key.
    """
    try:
        yield
    except VehicleFileError:
        raise
    except LabError as error:
        sentence = re.sub(r"^(?:An?|At|Th\w+) ", lambda start: start.group().lower(), str(error))
        raise VehicleFileError(keys, f"in '{dotted(keys)}', {sentence}") from None


def dotted(keys: Sequence[str | int]) -> str:
    """Keys as a reader of the file writes them: `damper.rebound`, and `linkage.motion_ratio, entry 3`."""
    name = ".".join(str(key) for key in keys if isinstance(key, str))
    entries = [f", entry {key + 1}" for key in keys if isinstance(key, int)]
    return name + "".join(entries)


def line_of(text: str, keys: Keys) -> int | None:
    """The line on which a key of a TOML text stands, or else that of the nearest table above it."""
    table: list[str] = []
    wanted = [key for key in keys if isinstance(key, str)]
    best: int | None = None
    deepest = 0
    for number, line in enumerate(text.replace("\r\n", "\n").split("\n"), 1):
        heading = re.match(r"\s*\[{1,2}([^\[\]]+)\]", line)
        if heading:
            table = [part.strip().strip("\"'") for part in heading.group(1).split(".")]
            shared = next((i for i, (a, b) in enumerate(zip(table, wanted, strict=False)) if a != b), len(table))
            # Of the tables beside a missing one, the first stands for it.
            if min(shared, len(wanted)) > deepest:
                best, deepest = number, min(shared, len(wanted))
            continue
        key = re.match(r"\s*([A-Za-z0-9_\-.\"']+)\s*=", line)
        path = [*table, *(part.strip("\"'") for part in key.group(1).split("."))] if key else []
        if path and path == wanted[: len(path)] and len(path) > deepest:
            best, deepest = number, len(path)
    return best


def explained(
    errors: list[ErrorDetails], whole: type[BaseModel], kinds: dict[str, type[BaseModel]]
) -> VehicleFileError:
    """The fault of a file that should be mended first.

    Args:
        errors: all faults pydantic found.
        whole: the model of the file.
        kinds: kind of damper -> its model.
    """
    # A mistyped key is also a missing one; the mistyped one is what the user must mend.
    fault = min(errors, key=lambda error: error["type"] != "extra_forbidden")
    keys, model = _place(fault["loc"], whole, kinds)
    return VehicleFileError(*_told(fault, keys, model, whole, kinds))


def _place(
    location: tuple[str | int, ...], whole: type[BaseModel], kinds: dict[str, type[BaseModel]]
) -> tuple[Keys, type[BaseModel] | None]:
    """The keys of a fault as they stand in the file, and the model that holds the last of them.

    Pydantic puts into a fault's place the branch of a union it took. Here these are the damper's kind, which follows
    its key, and tags in angle brackets; neither is a key of the file.
    """
    keys: list[str | int] = []
    holder: type[BaseModel] | None = whole
    model: type[BaseModel] | None = whole
    for i, part in enumerate(location):
        if i == 1 and location[0] == "damper":
            model = kinds[str(part)]
        elif isinstance(part, int) or not part.startswith("<"):
            keys.append(part)
            if isinstance(part, str):
                fields = model.model_fields if model else {}
                holder, model = model, _model_in(fields[part].annotation) if part in fields else None
    return tuple(keys), holder


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((model for part in get_args(annotation) if (model := _model_in(part))), None)


def _told(
    fault: ErrorDetails,
    keys: Keys,
    model: type[BaseModel] | None,
    whole: type[BaseModel],
    kinds: dict[str, type[BaseModel]],
) -> tuple[Keys, str]:
    where, kind, given = dotted(keys), fault["type"], fault["input"]
    if kind == "extra_forbidden":
        return keys, _unknown(keys, model, whole, kinds)
    if kind == "missing":
        return keys, _missing(keys, model)
    if kind == "union_tag_not_found":
        return (*keys, "kind"), f"'{where}.kind' is missing; write kind = and one of {_quoted(kinds)}."
    if kind == "union_tag_invalid":
        tag = given.get("kind") if isinstance(given, dict) else given
        return (*keys, "kind"), f"'{where}.kind' is {shown(tag)}, which is not known; {nearest_name(str(tag), kinds)}"
    # A whole number with more digits than a float can hold is told as "not a float".
    too_large = kind == "float_type" and isinstance(given, int) and not isinstance(given, bool)
    if too_large or kind in ("greater_than_equal", "less_than_equal", "finite_number"):
        return keys, _out_of_range(where, keys, given, model)
    if kind == "literal_error":
        return keys, f"'{where}' is {shown(given)}, where {fault['ctx']['expected']} was expected; write that."
    expected = next((text for name, text in _EXPECTED.items() if kind.startswith(name)), "another kind of value")
    return keys, f"'{where}' is {shown(given)}, where {expected} was expected; {_mend(kind, keys, given)}."


def _mend(kind: str, keys: Keys, given: object) -> str:
    if kind.startswith("model"):
        return f"write [{dotted(keys)}] on a line of its own, and its keys below"
    if kind.startswith(("float", "int")):
        if isinstance(given, str):
            return "write it without quotes, and with a point if it has decimals"
        if isinstance(given, list):
            return "write it without brackets"
        return f"write {'a whole number such as 12' if kind.startswith('int') else 'a plain number such as 12.5'}"
    if kind.startswith("string"):
        return 'write it between two "quotes"'
    return "write that"


def _unknown(
    keys: Keys, model: type[BaseModel] | None, whole: type[BaseModel], kinds: dict[str, type[BaseModel]]
) -> str:
    key, known = str(keys[-1]), list(model.model_fields) if model else []
    if keys[0] == "damper":
        others = [f"[damper] of kind '{name}'" for name, damper in kinds.items() if _knows(damper, keys[1:])]
        if others:
            return (
                f"key '{dotted(keys)}' does not belong to this kind of damper but in {' or '.join(others)}; "
                "change the kind, or take the key out."
            )
    homes: list[str] = []
    if len(keys) > 1 or key not in known:
        inside = {home: None for damper in kinds.values() for home in _homes(key, damper, ("damper",))}
        homes = [*_homes(key, whole, ()), *inside]
    if 0 < len(homes) <= MOST_HOMES:
        return f"key '{dotted(keys)}' is not known here; '{key}' belongs in {' or '.join(homes)}, so move it there."
    return f"key '{dotted(keys)}' is not known here; {nearest_name(key, known)}"


def _knows(model: type[BaseModel] | None, path: Keys) -> bool:
    """Whether a key stands at this path below a table."""
    for part in path:
        field = model.model_fields.get(str(part)) if model else None
        if field is None:
            return False
        model = _model_in(field.annotation)
    return True


def _homes(key: str, model: type[BaseModel], above: tuple[str, ...]) -> Iterator[str]:
    """The tables of the file that know a key."""
    for name, field in model.model_fields.items():
        if name == key:
            yield f"[{'.'.join(above)}]" if above else "the top of the file, above all tables"
        inner = _model_in(field.annotation) if name != "damper" else None
        if inner is not None:
            yield from _homes(key, inner, (*above, name))


def _missing(keys: Keys, model: type[BaseModel] | None) -> str:
    inner = _model_in(model.model_fields[str(keys[-1])].annotation) if model else None
    if inner is None:
        return f"'{dotted(keys)}' is missing; add a line {keys[-1]} = and its value."
    if keys == ("damper",):
        return "the table [damper] is missing; add it, with its kind and numbers."
    needed = [
        f"[{dotted(keys)}.{name}]" if isinstance(field.annotation, type) and _model_in(field.annotation) else name
        for name, field in inner.model_fields.items()
        if field.is_required()
    ]
    listed = " and ".join(part for part in (", ".join(needed[:-1]), *needed[-1:]) if part)
    return f"the table [{dotted(keys)}] is missing; add it{', with ' if needed else ''}{listed}."


def _quoted(names: dict[str, Any]) -> str:
    return ", ".join(f'"{name}"' for name in names)


def _out_of_range(where: str, keys: Keys, given: float, model: type[BaseModel] | None) -> str:
    low, high = _bounds(model, keys)
    unit = _unit(keys)
    number, behind = shown(given), f" {unit}" if unit else ""
    if abs(given) > 1e300 or given != given:
        return f"'{where}' is {number}, where {low:g} to {high:g}{behind} was expected; put a number there."
    sentence = f"'{where}' is {number}{behind}, where {low:g} to {high:g}{behind} was expected"
    factor, mistaken = _MISTAKEN.get(unit, (1.0, ""))
    if mistaken and low <= factor * given <= high:
        return f"{sentence}; if you measured {number} {mistaken}, write {factor * given:g}."
    if unit == "°C" and low <= given - ZERO_CELSIUS <= high:
        return f"{sentence}; if you measured {number} K, write {given - ZERO_CELSIUS:g}."
    if keys[:2] == ("damper", "adjusters"):
        return f"{sentence}; leave out an adjuster that the damper does not have."
    return f"{sentence}; check the number{' and its unit' if unit else ''}."


def _unit(keys: Keys) -> str:
    """The unit in the last key that names one; a span's ends have that of the key above them."""
    for key in reversed(keys):
        for ending, unit in _UNITS.items():
            if str(key).endswith("_" + ending):
                return unit
    return ""


def _bounds(model: type[BaseModel] | None, keys: Keys) -> tuple[float, float]:
    """The range a number may lie in, from the field's annotation, however deep it stands there."""
    low, high = float("-inf"), float("inf")
    key = next(str(key) for key in reversed(keys) if isinstance(key, str))
    if model is None or key not in model.model_fields:
        return low, high
    field = model.model_fields[key]
    pending: list[Any] = [*field.metadata, field.annotation]
    while pending:
        part = pending.pop()
        if isinstance(part, annotated_types.Ge):
            low = max(low, float(str(part.ge)))
        elif isinstance(part, annotated_types.Le):
            high = min(high, float(str(part.le)))
        elif not isinstance(part, type):
            pending += [*getattr(part, "metadata", ()), *get_args(part)]
    return low, high
