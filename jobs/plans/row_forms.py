"""Rows of the plan's form: redirects of a line, and where people stand."""

from typing import Any, ClassVar

from django import forms

from jobs.models import Place, Redirect
from jobs.web.typed_rows import RowForm, box

MAX_REDIRECTS = 4
# In the order of the page: those every pull has, then those that only some need.
PLACE_ORDER = (
    Place.Kind.HAULERS,
    Place.Kind.BOLLARD_TENDER,
    Place.Kind.CUTTER,
    Place.Kind.LOOKOUT,
    Place.Kind.HITCH_TENDER,
    Place.Kind.SIDE_TENDER,
    Place.Kind.RESTRAINT_TENDER,
)
PLACES_ALWAYS = 4


class RedirectRow(RowForm):
    """A block or ring that turns a line, seen from the stump."""

    needed: ClassVar[tuple[str, ...]] = ("distance_m", "azimuth_deg", "slope_deg", "height_m", "kind", "friction_ratio")

    distance_m = box(Redirect, "distance_m")
    azimuth_deg = box(Redirect, "azimuth_deg")
    slope_deg = box(Redirect, "slope_deg")
    height_m = box(Redirect, "height_m")
    kind = box(Redirect, "kind")
    friction_ratio = box(Redirect, "friction_ratio")

    def is_empty(self) -> bool:
        boxes = ("distance_m", "azimuth_deg", "slope_deg", "height_m", "friction_ratio", "kind")
        return not any(str(self[name].value() or "").strip() for name in boxes)


class PlaceRow(RowForm):
    """Where somebody stands, seen from the stump."""

    needed: ClassVar[tuple[str, ...]] = ("distance_m", "azimuth_deg")

    distance_m = box(Place, "distance_m")
    azimuth_deg = box(Place, "azimuth_deg")
    escape_route = forms.CharField(
        label="Escape route",
        required=False,
        max_length=200,
        help_text="Back and to the side, cleared. Without one the cutter may not stand in the fall zone.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        number = int(str(self.prefix).rsplit("-", 1)[1])
        self.place = PLACE_ORDER[number]
        self.title = self.place.label
        if self.place != Place.Kind.CUTTER:
            del self.fields["escape_route"]
