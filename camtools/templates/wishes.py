"""What a maker can choose about the templates."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from camtools.faults import Fault, JobFault

__all__ = ["COMMON_BUSHES_MM", "TemplateWishes"]

# Outside diameters on the market (docs/sources.md section 10: generic trade sizes).
COMMON_BUSHES_MM = tuple(
    sorted(
        (
            10.0,
            12.0,
            16.0,
            17.0,
            20.0,
            24.0,
            27.0,
            30.0,
            40.0,
            *(round(25.4 * part, 2) for part in (5 / 16, 3 / 8, 7 / 16, 1 / 2, 5 / 8, 3 / 4, 1.0)),
        )
    )
)


@dataclass(frozen=True, slots=True)
class TemplateWishes:
    """Choices for combs, spacers and setting blocks. None: chosen from the joints.

    Raises
    ------
    JobFault
        If a value can not be, all at once.
    """

    bush_mm: float | None = None  # outside diameter of the guide bush
    bush_wall_mm: float = 1.0  # common practice, no source
    comb_mm: float = 6.0  # thickness of the combs; more than the bush is long
    kerf_mm: float = 0.25  # 0: nominal lines. Seen for 6 mm birch plywood; 0.20 for 3 mm
    finger_mm: float | None = None  # width of the fingers of a holder
    finger_radius_mm: float | None = None  # of the front corners of those fingers
    finger_inset_mm: float | None = None  # of the first and last finger from the board's edges; None: where the job's tails are
    sheet_mm: tuple[float, float] = (600.0, 300.0)
    dxf: Literal["R2000", "R12"] = "R2000"
    text: Literal["strokes", "outlines"] = "strokes"
    leave_out: bool = False  # what can not be made, instead of refusing the whole

    def __post_init__(self) -> None:
        faults = [
            Fault(f"templates: {name}", "out of range", f"{value:g} mm", f"{low:g} to {high:g} mm", "measure it and give it in mm")
            for name, value, low, high in (
                ("bush", self.bush_mm, 5.0, 80.0),
                ("bush wall", self.bush_wall_mm, 0.3, 10.0),
                ("comb thickness", self.comb_mm, 2.0, 30.0),
                ("kerf", self.kerf_mm, 0.0, 1.0),
                ("finger width", self.finger_mm, 2.0, 200.0),
                ("finger radius", self.finger_radius_mm, 0.0, 100.0),
                ("finger inset", self.finger_inset_mm, 0.0, 100.0),
                ("sheet length", self.sheet_mm[0], 50.0, 5000.0),
                ("sheet width", self.sheet_mm[1], 50.0, 5000.0),
            )
            if value is not None and not low <= value <= high
        ]
        if self.finger_mm is not None and self.finger_radius_mm is not None and 2 * self.finger_radius_mm > self.finger_mm:
            faults.append(
                Fault(
                    "templates: finger radius",
                    "the front corners do not fit the finger",
                    f"{self.finger_radius_mm:g} mm",
                    f"at most {self.finger_mm / 2:g} mm, half the finger's width",
                )
            )
        if faults:
            raise JobFault(*faults)
