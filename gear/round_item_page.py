"""What stands on the page of one item of a round beside its form."""

import zoneinfo
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.core import signing
from django.utils import timezone

from crewlog.models import Membership
from gear.forms.inspection import MeasureRow
from gear.forms.round import RoundItemForm
from gear.measuring import measure_says
from gear.models import RoundDraftItem
from gear.round_pages import progress_of, round_rows
from gear.round_reading import quick_state
from gear.selectors import register_row

OPENED_SALT = "gear.round-item-opened"


@dataclass(frozen=True, slots=True)
class Conflict:
    """One box that two devices answered."""

    label: str
    kept: str
    kept_at: str
    other: str
    other_at: str


@dataclass(frozen=True, slots=True)
class Measured:
    """One measure with what is said about the figure that stands in its box."""

    row: MeasureRow
    says: Mapping[str, Any]


def item_page(
    member: Membership, row: RoundDraftItem, form: RoundItemForm, values: Mapping[str, str]
) -> dict[str, Any]:
    """Context of the page. Four queries."""
    rows = round_rows(row.draft)
    progress = progress_of(rows, after=row.position)
    today = member.company.today()
    return {
        "draft": row.draft,
        "row": row,
        "item": row.item,
        "form": form,
        "state": quick_state(row, values),
        "is_open": row.failed_by_id is None and row.signed_in_id is None and row.draft.closed_at is None,
        "standing": register_row(row.item, today),
        "measured": [
            Measured(each, measure_says(row.item, each.measure, str(each.box.value() or ""), form.unit_system))
            for each in form.measure_rows()
        ],
        "conflicts": conflicts_of(row, form),
        "progress": progress,
        "previous": row.position - 1 if row.position > 1 else None,
        "coming": [r.place for r in rows if r.place > row.position][:30],
        "opened": signing.dumps(timezone.now().timestamp(), salt=OPENED_SALT),
    }


def conflicts_of(row: RoundDraftItem, form: RoundItemForm) -> list[Conflict]:
    """Boxes that two devices answered differently, with the time each device showed."""
    zone = zoneinfo.ZoneInfo(row.item.company.time_zone)
    found = []
    for answer in row.answers.all():
        if answer.other_device_time is None or answer.name not in form.fields:
            continue
        words = dict(getattr(form.fields[answer.name], "choices", ()))
        found.append(
            Conflict(
                label=str(form.fields[answer.name].label),
                kept=str(words.get(answer.value, answer.value)) or "nothing",
                kept_at=f"{answer.device_time.astimezone(zone):%H:%M}",
                other=str(words.get(answer.other_value, answer.other_value)) or "nothing",
                other_at=f"{answer.other_device_time.astimezone(zone):%H:%M}",
            )
        )
    return found
