"""The drawings of a plan page, each as text for inline use."""

from collections.abc import Callable
from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from jobs.drawing.angle_chart import angle_chart
from jobs.drawing.figures import NARROW_PX, WIDE_PX, DrawingOptions, PlanFigures
from jobs.drawing.plan_view import plan_view
from jobs.drawing.pretension import pretension
from jobs.drawing.scene import Scene
from jobs.drawing.side_view import side_view
from jobs.drawing.svg import svg_text
from jobs.drawing.tackle_view import tackle_view
from jobs.wording.unit_formatter import UnitFormatter

SQUARE_PX = 360
Draw = Callable[[PlanFigures, DrawingOptions], Scene]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanDrawings:
    """Long drawings twice, for a desk and for a hand; square ones once."""

    side_wide: SafeString
    side_narrow: SafeString
    above_wide: SafeString
    above_narrow: SafeString
    window_wide: SafeString
    window_narrow: SafeString
    tipping: SafeString
    tackle: SafeString


def plan_drawings(figures: PlanFigures, write: UnitFormatter) -> PlanDrawings:
    """All drawings of one plan."""

    def drawn(draw: Draw, name: str, width_px: float) -> SafeString:
        scene = draw(figures, DrawingOptions(width_px=width_px, formatter=write))
        return mark_safe(svg_text(scene, name))  # noqa: S308 - the writer builds the tree and escapes all text

    return PlanDrawings(
        side_wide=drawn(side_view, "side-wide", WIDE_PX),
        side_narrow=drawn(side_view, "side-narrow", NARROW_PX),
        above_wide=drawn(plan_view, "above-wide", WIDE_PX),
        above_narrow=drawn(plan_view, "above-narrow", NARROW_PX),
        window_wide=drawn(pretension, "window-wide", WIDE_PX),
        window_narrow=drawn(pretension, "window-narrow", NARROW_PX),
        tipping=drawn(angle_chart, "tipping", SQUARE_PX),
        tackle=drawn(tackle_view, "tackle", SQUARE_PX),
    )
