"""Sizes in which labels are sold, named by their dimensions; the grids are common practice, from memory."""

from dataclasses import dataclass

INCH = 25.4


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelFormat:
    """One label size on its sheet, or on a roll with one label a page; all in millimetres."""

    code: str
    name: str
    page_mm: tuple[float, float]
    label_mm: tuple[float, float]
    columns: int = 1
    rows: int = 1
    left_mm: float = 0.0
    top_mm: float = 0.0
    pitch_mm: tuple[float, float] = (0.0, 0.0)

    @property
    def per_page(self) -> int:
        return self.columns * self.rows

    def corner_mm(self, place: int) -> tuple[float, float]:
        """Left and top of the label at a place of the page, counted from nought along the rows."""
        row, column = divmod(place, self.columns)
        return self.left_mm + column * self.pitch_mm[0], self.top_mm + row * self.pitch_mm[1]


A4 = (210.0, 297.0)
LETTER = (8.5 * INCH, 11 * INCH)


def sheet(
    name: str, page: tuple[float, float], label: tuple[float, float], *, grid: tuple[int, int], gap: tuple[float, float]
) -> LabelFormat:
    """A sheet whose grid stands in the middle of its page."""
    columns, rows = grid
    pitch = (label[0] + gap[0], label[1] + gap[1])
    size = "A4" if page == A4 else "Letter"
    return LabelFormat(
        code=f"{size.lower()}-{name.replace(' ', '')}",
        name=f"{name}, {columns * rows} on {size}",
        page_mm=page,
        label_mm=label,
        columns=columns,
        rows=rows,
        left_mm=(page[0] - columns * pitch[0] + gap[0]) / 2,
        top_mm=(page[1] - rows * pitch[1] + gap[1]) / 2,
        pitch_mm=pitch,
    )


def roll(name: str, label: tuple[float, float]) -> LabelFormat:
    return LabelFormat(
        code=f"roll-{name.replace(' ', '')}", name=f"{name}, roll, one a page", page_mm=label, label_mm=label
    )


FORMATS: tuple[LabelFormat, ...] = (
    sheet("12 × 12 mm", A4, (12.0, 12.0), grid=(13, 19), gap=(3.0, 3.0)),
    sheet("25 × 25 mm", A4, (25.0, 25.0), grid=(7, 10), gap=(3.0, 3.0)),
    sheet("38 × 21 mm", A4, (38.1, 21.2), grid=(5, 13), gap=(2.5, 0.0)),
    sheet("63 × 38 mm", A4, (63.5, 38.1), grid=(3, 7), gap=(2.5, 0.0)),
    sheet("1/2 × 1 3/4 in", LETTER, (1.75 * INCH, 0.5 * INCH), grid=(4, 20), gap=(0.3 * INCH, 0.0)),
    sheet("1 × 2 5/8 in", LETTER, (2.625 * INCH, 1.0 * INCH), grid=(3, 10), gap=(0.125 * INCH, 0.0)),
    roll("12 × 12 mm", (12.0, 12.0)),
    roll("25 × 25 mm", (25.0, 25.0)),
    roll("50 × 25 mm", (50.0, 25.0)),
)
BY_CODE = {each.code: each for each in FORMATS}

# A band is wrapped round the end of a rope: long enough for three turns round 18 mm, narrow enough to lie flat.
BAND_MM = (190.0, 10.0)
BANDS = LabelFormat(
    code="bands",
    name="Tracer bands, 190 × 10 mm, 22 on A4",
    page_mm=A4,
    label_mm=BAND_MM,
    columns=1,
    rows=22,
    left_mm=10.0,
    top_mm=12.0,
    pitch_mm=(BAND_MM[0], 12.4),
)
