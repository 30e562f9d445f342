"""What stands on the page of one item of a round beside its form."""

import zoneinfo
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.core import signing
from django.utils import timezone

from crewlog.models import Membership
from crewlog.web.ui_rows import MarkKind
from gear.examinations.forms import MeasureRow
from gear.examinations.measuring import measure_says
from gear.failures.pages import held_rows
from gear.failures.services import held_in
from gear.models import RoundDraftItem, RoundPhotograph
from gear.register.pages import register_row
from gear.rounds.completeness import completeness_of, measures_asked
from gear.rounds.forms import RoundItemForm
from gear.rounds.pages import progress_of, round_rows
from gear.rounds.reading import quick_state

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
    is_asked: bool


def item_page(
    member: Membership, row: RoundDraftItem, form: RoundItemForm, values: Mapping[str, str]
) -> dict[str, Any]:
    """Context of the page. Seven queries."""
    rows = round_rows(row.draft)
    held = held_in(row.draft).get(row.item_id, [])
    asked = measures_asked(row.item, row.draft.kind)
    is_own = row.draft.inspector_id == member.person.pk
    progress = progress_of(rows, after=row.position)
    today = member.company.today()
    return {
        "draft": row.draft,
        "row": row,
        "item": row.item,
        "form": form,
        "state": quick_state(row, values, is_held=bool(held)),
        "complete": completeness_of(row, values),
        "held": held_rows(member, held),
        "is_own": is_own,
        "kept_of_all": form.kept.get(""),
        "read": () if is_own else list(read_rows(form)),
        "is_open": is_own and is_unsigned(row),
        "may_take_back": is_own and bool(held) and is_unsigned(row),
        "standing": register_row(row.item, today),
        "measured": [
            Measured(
                each,
                measure_says(row.item, each.measure, str(each.box.value() or ""), form.unit_system),
                each.measure in asked,
            )
            for each in form.measure_rows()
        ],
        "conflicts": conflicts_of(row, form),
        "progress": progress,
        "previous": row.position - 1 if row.position > 1 else None,
        "coming": [r.place for r in rows if r.place > row.position][:30],
        "opened": signing.dumps(timezone.now().timestamp(), salt=OPENED_SALT),
    }


ANSWER_MARKS: dict[str, tuple[MarkKind, str]] = {
    "good": ("ok", "Good"),
    "remark": ("due", "Remark"),
    "fail": ("out", "Fail"),
}


@dataclass(frozen=True, slots=True)
class ReadRow:
    """One point or measure of a colleague's round, to read."""

    label: str
    mark: MarkKind
    words: str
    saw: str = ""
    kept: RoundPhotograph | None = None


def read_rows(form: RoundItemForm) -> Iterator[ReadRow]:
    """What a colleague answered, with what was seen and photographed."""
    for point in form.points():
        mark, words = ANSWER_MARKS.get(str(point.answer.value() or ""), ("open", "Not answered"))
        yield ReadRow(str(point.answer.label), mark, words, str(point.saw.value() or ""), point.kept)
    for each in form.measure_rows():
        typed = str(each.box.value() or "").strip()
        says = measure_says(form.item, each.measure, typed, form.unit_system)
        past = typed and not says.get("fault") and not says.get("passes")
        yield ReadRow(each.measure.label, "out" if past else "ok" if typed else "open", typed or "Not measured")


def is_unsigned(row: RoundDraftItem) -> bool:
    return row.failed_by_id is None and row.signed_in_id is None and row.draft.closed_at is None


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
