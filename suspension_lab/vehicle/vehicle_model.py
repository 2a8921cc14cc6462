"""What may stand in a vehicle file, in the trade's units."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Union

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag


def _between(low: float, high: float) -> Any:
    return Field(ge=low, le=high, allow_inf_nan=False)


# The ranges are wide enough for any wheel from a push scooter to a lorry, and narrow enough to catch a factor of 1000.
Slope = Annotated[float, _between(1.0, 200_000.0)]
Speed = Annotated[float, _between(0.005, 5.0)]
Millimetres = Annotated[float, _between(0.5, 2000.0)]
Bar = Annotated[float, _between(0.1, 500.0)]
Ratio = Annotated[float, _between(0.05, 5.0)]
Clicked = Annotated[int, Field(ge=0, le=200)]
Range = Annotated[int, Field(ge=1, le=200)]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)


class MassesPart(_Part):
    """[masses]: what rests on this wheel."""

    sprung_mass_kg: Annotated[float, _between(1.0, 20_000.0)]
    unsprung_mass_kg: Annotated[float, _between(0.1, 2000.0)]
    rider_mass_kg: Annotated[float, _between(0.0, 5000.0)] = 0.0


class SpringPart(_Part):
    """[spring]: a rate, or a table of its force."""

    rate_N_per_mm: Annotated[float, _between(0.3, 2000.0)] | None = None  # noqa: N815
    progression_N_per_mm2: Annotated[float, _between(0.0, 100.0)] = 0.0  # noqa: N815
    preload_mm: Annotated[float, _between(0.0, 500.0)] = 0.0
    table_compression_mm: list[Annotated[float, _between(-500.0, 2000.0)]] | None = None
    table_force_N: list[Annotated[float, _between(-1e5, 1e6)]] | None = None  # noqa: N815


class SlopeSpanPart(_Part):
    """A slope that clicks set, from closed to open."""

    closed: Slope
    open: Slope


class SpeedSpanPart(_Part):
    """A shaft speed that clicks set, from closed to open."""

    closed: Speed
    open: Speed


def _tabled(value: object) -> str:
    return "<table>" if isinstance(value, dict) else "<number>"


def _listed(value: object) -> str:
    return "<list>" if isinstance(value, list) else "<number>"


SlopeOrSpan = Annotated[
    Annotated[Slope, Tag("<number>")] | Annotated[SlopeSpanPart, Tag("<table>")], Discriminator(_tabled)
]
SpeedOrSpan = Annotated[
    Annotated[Speed, Tag("<number>")] | Annotated[SpeedSpanPart, Tag("<table>")], Discriminator(_tabled)
]


class SidePart(_Part):
    """[damper.rebound] or [damper.compression] of a two-slope damper."""

    low_speed_slope_N_s_per_m: SlopeOrSpan  # noqa: N815
    knee_speed_m_per_s: SpeedOrSpan
    high_speed_slope_N_s_per_m: SlopeOrSpan  # noqa: N815


class AdjustersPart(_Part):
    """[damper.adjusters]: clicks from closed to open."""

    rebound: Range | None = None
    low_speed: Range | None = None
    high_speed: Range | None = None


class ClicksPart(_Part):
    """[damper.clicks]: where the adjusters stand."""

    rebound: Clicked | None = None
    low_speed: Clicked | None = None
    high_speed: Clicked | None = None

    def given(self) -> dict[str, int]:
        """Those the file gives."""
        return self.model_dump(exclude_none=True)


class LinearPart(_Part):
    """[damper] of kind "linear"."""

    kind: Literal["linear"]
    rebound_N_s_per_m: Annotated[float, _between(0.0, 200_000.0)]  # noqa: N815
    compression_N_s_per_m: Annotated[float, _between(0.0, 200_000.0)]  # noqa: N815


class TwoSlopePart(_Part):
    """[damper] of kind "two-slope"."""

    kind: Literal["two-slope"]
    rebound: SidePart
    compression: SidePart
    adjusters: AdjustersPart = AdjustersPart()
    clicks: ClicksPart = ClicksPart()


class MeasuredPart(_Part):
    """[damper] of kind "measured"."""

    kind: Literal["measured"]
    file: str
    clicks: ClicksPart = ClicksPart()


class NeedlePart(_Part):
    """[damper.rebound.needle] or [damper.compression.needle] of a hydraulic damper."""

    seat_diameter_mm: Annotated[float, _between(0.5, 30.0)]
    needle_diameter_mm: Annotated[float, _between(0.4, 30.0)]
    taper_deg: Annotated[float, _between(0.5, 60.0)]
    lift_per_click_mm: Annotated[float, _between(0.001, 2.0)]
    land_length_mm: Annotated[float, _between(0.2, 50.0)]
    eccentricity: Annotated[float, _between(0.0, 1.0)] = 0.0


class PressureSpanPart(_Part):
    """A pressure that clicks set, from closed to open."""

    closed: Bar
    open: Bar


class BlowOffPart(_Part):
    """[damper.rebound.blow_off] or [damper.compression.blow_off] of a hydraulic damper."""

    seat_diameter_mm: Annotated[float, _between(1.0, 60.0)]
    spring_rate_N_per_mm: Annotated[float, _between(0.5, 20_000.0)]  # noqa: N815
    cracking_pressure_bar: Annotated[
        Annotated[Bar, Tag("<number>")] | Annotated[PressureSpanPart, Tag("<table>")], Discriminator(_tabled)
    ]


class LeakPart(_Part):
    """[damper.rebound.leak] or [damper.compression.leak] of a hydraulic damper."""

    diameter_mm: Annotated[float, _between(1.0, 150.0)]
    clearance_mm: Annotated[float, _between(0.001, 2.0)]
    length_mm: Annotated[float, _between(0.2, 100.0)]
    eccentricity: Annotated[float, _between(0.0, 1.0)] = 0.0


class CircuitPart(_Part):
    """[damper.rebound] or [damper.compression] of a hydraulic damper."""

    needle: NeedlePart
    blow_off: BlowOffPart | None = None
    leak: LeakPart | None = None


class OilPart(_Part):
    """[damper.oil] of a hydraulic damper."""

    viscosity_40C_mm2_per_s: Annotated[float, _between(0.5, 1000.0)]  # noqa: N815
    viscosity_100C_mm2_per_s: Annotated[float, _between(0.5, 1000.0)]  # noqa: N815
    density_15C_kg_per_m3: Annotated[float, _between(500.0, 1500.0)] = 860.0  # noqa: N815
    volume_cm3: Annotated[float, _between(5.0, 5000.0)]


class GasPart(_Part):
    """[damper.gas] of a hydraulic damper; the pressure as a gauge reads it."""

    gas_pressure_bar: Annotated[float, _between(0.0, 100.0)]
    gas_volume_cm3: Annotated[float, _between(1.0, 5000.0)]


class ShellPart(_Part):
    """[damper.body] or [damper.reservoir] of a hydraulic damper."""

    mass_kg: Annotated[float, _between(0.02, 50.0)]
    diameter_mm: Annotated[float, _between(5.0, 300.0)]
    length_mm: Annotated[float, _between(10.0, 2000.0)]
    metal: Literal["steel", "aluminium"] = "steel"


class HydraulicPart(_Part):
    """[damper] of kind "hydraulic"."""

    kind: Literal["hydraulic"]
    piston_diameter_mm: Annotated[float, _between(5.0, 150.0)]
    rod_diameter_mm: Annotated[float, _between(2.0, 150.0)]
    compression_at: Literal["piston", "reservoir"] = "piston"
    one_way_opening_mm2: Annotated[float, _between(1.0, 5000.0)] = 60.0
    oil_temperature_C: Annotated[float, _between(-30.0, 160.0)] = 20.0  # noqa: N815
    rebound: CircuitPart
    compression: CircuitPart
    oil: OilPart
    gas: GasPart | None = None
    body: ShellPart
    reservoir: ShellPart | None = None
    adjusters: AdjustersPart = AdjustersPart()
    clicks: ClicksPart = ClicksPart()


class TyrePart(_Part):
    """[tyre]."""

    stiffness_N_per_mm: Annotated[float, _between(5.0, 5000.0)]  # noqa: N815
    damping_N_s_per_m: Annotated[float, _between(0.0, 20_000.0)] = 0.0  # noqa: N815


class WheelPart(_Part):
    """[wheel]."""

    radius_mm: Annotated[float, _between(20.0, 1500.0)]


class StopPart(_Part):
    """[travel.bump_stop] or [travel.top_out_stop]."""

    length_mm: Millimetres
    rate_N_per_mm: Annotated[float, _between(0.5, 10_000.0)]  # noqa: N815


class TravelPart(_Part):
    """[travel]."""

    wheel_travel_mm: Annotated[float, _between(5.0, 1000.0)]
    bump_stop: StopPart | None = None
    top_out_stop: StopPart | None = None


class LinkagePart(_Part):
    """[linkage]: one motion ratio, or a list over wheel travel."""

    motion_ratio: Annotated[
        Annotated[Ratio, Tag("<number>")] | Annotated[list[Ratio], Tag("<list>")], Discriminator(_listed)
    ] = 1.0
    wheel_travel_mm: list[Annotated[float, _between(-500.0, 1500.0)]] | None = None
    friction_N: Annotated[float, _between(0.0, 2000.0)] = 0.0  # noqa: N815


class VehiclePart(_Part):
    """The whole file."""

    format: Literal[1]
    name: str = Field(min_length=1)
    invented: bool = False
    note: str = ""
    masses: MassesPart
    spring: SpringPart
    damper: Annotated[Union[LinearPart, TwoSlopePart, MeasuredPart, HydraulicPart], Field(discriminator="kind")]  # noqa: UP007
    tyre: TyrePart
    wheel: WheelPart | None = None
    travel: TravelPart | None = None
    linkage: LinkagePart = LinkagePart()


KINDS: dict[str, type[BaseModel]] = {
    "linear": LinearPart, "two-slope": TwoSlopePart, "measured": MeasuredPart, "hydraulic": HydraulicPart,
}  # fmt: skip
"""Kind of damper -> its table."""
