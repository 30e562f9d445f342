"""What a recall would cover, shown before it is recorded."""

import hashlib
from dataclasses import astuple, dataclass

from crewlog.models import Company
from gear.fitness.rules import recall_match_words
from gear.recalls.forms import RecallForm
from gear.recalls.services import matches


@dataclass(frozen=True, slots=True)
class MatchRow:
    """An item a recall would take out of use, and why it may be covered."""

    tag: str
    url: str
    description: str
    place: str
    why: str


@dataclass(frozen=True, slots=True)
class RecallPreview:
    """Every match. `token` stands for exactly this recall over exactly these items."""

    rows: tuple[MatchRow, ...]
    token: str


def preview_recall(company: Company, form: RecallForm) -> RecallPreview:
    """The matches of a valid form. One query."""
    notice = form.notice()
    items = matches(company, notice)
    said = repr((astuple(notice), [item.pk for item in items]))
    return RecallPreview(
        rows=tuple(
            MatchRow(
                tag=item.tag,
                url=item.get_absolute_url(),
                description=item.description,
                place=item.storage_place,
                why=recall_match_words(
                    notice, maker=item.maker, maker_model=item.maker_model, batch=item.batch, serial=item.serial
                ),
            )
            for item in items
        ),
        token=hashlib.sha256(said.encode()).hexdigest()[:32],
    )
