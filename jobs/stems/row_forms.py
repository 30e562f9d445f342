"""Rows of the stem's form: sizes along the stem, and what is left of its crown."""

from typing import ClassVar

from crewlog.quantities.fields import QuantityField
from jobs.models import CrownPart, StemSection
from jobs.web.typed_rows import RowForm, box

MAX_SECTIONS = 8
MAX_CROWN_PARTS = 4
WIDEST_GIRTH_M = 12.6


class SectionRow(RowForm):
    """A diameter or a girth over bark, at a height."""

    needed: ClassVar[tuple[str, ...]] = ("height_m", "size_m")

    height_m = box(StemSection, "height_m")
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

    mass_kg = box(CrownPart, "mass_kg")
    height_m = box(CrownPart, "height_m")
    forward_m = box(CrownPart, "forward_m")
    left_m = box(CrownPart, "left_m")
    frontal_area_m2 = box(CrownPart, "frontal_area_m2")
