"""Photographs taken in a round: kept with its draft, and put on record with the inspection they belong to."""

from collections.abc import Mapping

from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.files.documents import Document
from crewlog.files.keeping import keep
from crewlog.files.photographs import Photograph
from crewlog.models import Membership
from gear.files.services import held_file
from gear.models import RoundDraftItem, RoundPhotograph
from gear.rounds.services import hold


@transaction.atomic
def keep_photographs(*, actor: Membership, row: RoundDraftItem, brought: Mapping[str, Photograph | Document]) -> None:
    """Keep photographs of one item by point, "" of its findings as a whole; a later one of a point takes its place.

    The bytes are written first; should the row fail, they are an orphan that a sweep removes. Raises RuleBroken.
    """
    hold(actor, row.draft)
    if row.failed_by_id is not None or row.signed_in_id is not None:
        raise RuleBroken("It is already recorded. Correct the examination.", code="recorded-already")
    for point, picture in brought.items():
        keep(picture.content)
        said = {
            "sha256": picture.sha256,
            "width_px": picture.width_px,
            "height_px": picture.height_px,
            "name_given": picture.name,
        }
        RoundPhotograph.objects.update_or_create(row=row, point=point, defaults=said)


def photographs_of(row: RoundDraftItem) -> dict[str, Photograph | Document]:
    """The kept photographs of an item by point, whatever the point is answered.

    Queries unless they were fetched with the row. Raises RuleBroken where the bytes are gone.
    """
    return {kept.point: held_file(kept) for kept in row.photographs.all()}
