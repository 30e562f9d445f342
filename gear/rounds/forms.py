"""One item of a round as a form: the boxes of a single inspection, all of which may wait."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from crewlog.models import Membership
from crewlog.quantities.fields import QuantityField
from gear.examinations.examination import Examination
from gear.examinations.forms import InspectionForm
from gear.fitness.rules import Due
from gear.models import RoundDraftItem
from gear.models.round import NOT_PRESENTED
from gear.web.file_boxes import HeldFileField
from gear.web.form_fields import tiles

AS_ANSWERED = ""
ROUND_VERDICTS = (
    (AS_ANSWERED, "As the points say"),
    ("remark", "Fit, with a remark"),
    ("out_of_use", "Out of use"),
    ("retire", "Retire"),
    ("not_examined", "Clean and dry first"),
    (NOT_PRESENTED, "Not presented"),
)
ROUND_HINTS = {
    AS_ANSWERED: "Fit when every point is good",
    "remark": "Stays in service; to be mended by a date",
    "out_of_use": "Until a later examination returns it",
    "retire": "Permanent; it cannot be undone",
    "not_examined": "Does not count as an examination",
    NOT_PRESENTED: "It was not there and stays due",
}


class RoundItemForm(InspectionForm):
    """Reads what was answered so far. It asks for nothing; what is missing is said when the round is signed."""

    is_round = True

    def __init__(
        self,
        data: Mapping[str, str] | None,
        *,
        row: RoundDraftItem,
        latest: Due | None = None,
        files: Any = None,
        member: Membership | None = None,
    ) -> None:
        super().__init__(
            data,
            files,
            company=row.item.company,
            item=row.item,
            kind=row.draft.kind,
            latest=latest,
            member=member,
        )
        for name in ("examined_on", "inspector", "from_paper"):
            del self.fields[name]
        self.fields["verdict"] = tiles("Verdict", ROUND_VERDICTS, hints=ROUND_HINTS, required=False)
        self.fields["verdict"].initial = AS_ANSWERED
        told = self.fields["told_at"]
        told.help_text = "You can record this later: the item is held either way, and Today shows it until recorded"

    def say_what_is_kept(self, row: RoundDraftItem) -> None:
        """Name the photographs that were taken already beside their boxes. Queries unless they were fetched."""
        for kept in row.photographs.all():
            self.kept[kept.point] = kept
            name = f"photo_{kept.point}" if kept.point else "photo"
            if name in self.fields:
                self.fields[name].help_text = f"Kept: {kept}. Another one takes its place."

    def examination_on(self, day: dt.date) -> Examination:
        """What was looked at, as of the day the last answer was given."""
        self.cleaned_data["examined_on"] = day
        examination = self.examination()
        if self.cleaned_data["verdict"] == "not_examined" and not examination.findings.strip():
            return replace(examination, findings="Clean and dry first")
        return examination


def box_names(row: RoundDraftItem) -> frozenset[str]:
    """The boxes that an item of a round has, and the notes of the unit that stood beside them."""
    fields = RoundItemForm(None, row=row).fields
    typed = (name for name, field in fields.items() if not isinstance(field, HeldFileField))
    units = (f"{name}-unit" for name, field in fields.items() if isinstance(field, QuantityField))
    return frozenset((*typed, *units))


def typed_in(data: Mapping[str, Any], row: RoundDraftItem) -> dict[str, str]:
    """What a page sent for the boxes of an item; a unit goes with a figure or not at all."""
    sent = {name: str(data[name]) for name in box_names(row) if name in data}
    return {name: text for name, text in sent.items() if not name.endswith("-unit") or sent.get(name[:-5])}
