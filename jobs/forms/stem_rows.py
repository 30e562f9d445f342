"""Rows of the stem's form: sizes along the stem, and what is left of its crown."""

from typing import ClassVar

from crewlog.fields import QuantityField
from jobs.forms.rows import RowForm
from jobs.models.stem import TALLEST_M

MAX_SECTIONS = 8
MAX_CROWN_PARTS = 4
THICKEST_M = 4.0
WIDEST_GIRTH_M = 12.6


class SectionRow(RowForm):
    """A diameter or a girth over bark, at a height."""

    needed: ClassVar[tuple[str, ...]] = ("height_m", "size_m")

    height_m = QuantityField(kind="length", label="Height", required=False, max_value=TALLEST_M)
    size_m = QuantityField(
        kind="diameter_stem",
        label="Size over bark",
        required=False,
        min_value=0,
        min_exclusive=True,
        max_value=WIDEST_GIRTH_M,
    )


class CrownRow(RowForm):
    """Limbs or a crown as one lump: what it weighs, where it sits, how much wind it catches."""

    needed: ClassVar[tuple[str, ...]] = ("mass_kg", "height_m", "forward_m", "left_m", "frontal_area_m2")

    mass_kg = QuantityField(kind="mass", label="Mass", required=False, max_value=20_000)
    height_m = QuantityField(
        kind="length",
        label="Height of its middle",
        required=False,
        min_value=0,
        min_exclusive=True,
        max_value=TALLEST_M,
    )
    forward_m = QuantityField(
        kind="offset",
        label="Towards the lay",
        required=False,
        min_value=-20,
        max_value=20,
        help_text="From the middle of the stem at that height. Away from the lay: minus. Over the stem: 0.",
    )
    left_m = QuantityField(
        kind="offset",
        label="To the left, facing the lay",
        required=False,
        min_value=-20,
        max_value=20,
        help_text="To the right: minus.",
    )
    frontal_area_m2 = QuantityField(kind="area", label="Area facing the wind", required=False, max_value=400)
