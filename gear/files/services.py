"""Keeping photographs and documents of gear, and holding those of a form that was refused."""

from __future__ import annotations

from typing import Any

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from crewlog.errors import RuleBroken
from crewlog.evidence import Entry, append_row
from crewlog.files.documents import Document
from crewlog.files.keeping import keep, path_of, sweep_files
from crewlog.files.photographs import Photograph
from crewlog.files.uploads import document_from, photograph_from
from crewlog.models import Membership, Role
from crewlog.people.rights import require_role
from gear.fitness.entries import lock
from gear.models import GearEvent, GearItem, Inspection, PendingUpload, RoundPhotograph, StoredFile

MAY_ADD = (Role.OWNER, Role.CREW_LEAD, Role.INSPECTOR, Role.CREW)
Kept = Photograph | Document


@transaction.atomic
def store_photograph(
    *,
    actor: Membership,
    item: GearItem,
    upload: UploadedFile[Any] | Photograph,
    caption: str = "",
    inspection: Inspection | None = None,
    event: GearEvent | None = None,
    point: str = "",
    entry: Entry | None = None,
) -> StoredFile:
    """Clean a photograph, keep it, and put it on record. Raises FileRefused and RuleBroken with a stable code.

    The bytes are written first; should the record fail, they are an orphan that a sweep removes.
    """
    picture = photograph_from(upload) if isinstance(upload, UploadedFile) else upload
    row = new_row(item, picture, caption, inspection=inspection, event=event, point=point)
    return put_on_record(actor, row, picture, entry)


@transaction.atomic
def store_document(
    *,
    actor: Membership,
    item: GearItem,
    upload: UploadedFile[Any] | Document,
    caption: str = "",
    inspection: Inspection | None = None,
    event: GearEvent | None = None,
    entry: Entry | None = None,
) -> StoredFile:
    """Check a PDF, keep it, and put it on record. Raises FileRefused and RuleBroken with a stable code."""
    document = document_from(upload) if isinstance(upload, UploadedFile) else upload
    row = new_row(item, document, caption, inspection=inspection, event=event)
    return put_on_record(actor, row, document, entry)


def store_file(
    *,
    actor: Membership,
    item: GearItem,
    upload: Kept,
    caption: str = "",
    inspection: Inspection | None = None,
    point: str = "",
    entry: Entry | None = None,
) -> StoredFile:
    """Put a file on record that was read already, of whichever kind."""
    facts: dict[str, Any] = {"actor": actor, "item": item, "caption": caption, "inspection": inspection, "entry": entry}
    if isinstance(upload, Photograph):
        return store_photograph(upload=upload, point=point, **facts)
    return store_document(upload=upload, **facts)


def new_row(
    item: GearItem,
    file: Kept,
    caption: str,
    *,
    inspection: Inspection | None,
    event: GearEvent | None,
    point: str = "",
) -> StoredFile:
    """The row of evidence, not yet on the chain."""
    return StoredFile(
        item=item,
        inspection=inspection,
        event=event,
        point=point,
        kind=file.kind,
        sha256=file.sha256,
        size=len(file.content),
        content_type=file.content_type,
        width_px=file.width_px,
        height_px=file.height_px,
        name_given=file.name,
        caption=caption.strip(),
    )


def put_on_record(actor: Membership, row: StoredFile, file: Kept, entry: Entry | None) -> StoredFile:
    require_role(actor, *MAY_ADD)
    item = lock(actor, row.item)
    if row.inspection is not None and row.inspection.item_id != item.pk:
        raise RuleBroken("The inspection is another item's.", code="file-of-another-item")
    if row.event is not None and row.event.item_id != item.pk:
        raise RuleBroken("The event is another item's.", code="file-of-another-item")
    if row.point and row.point not in {point.code for point in item.declared.checklist.points}:
        raise RuleBroken(f"Not on the checklist: {row.point}.", code="not-on-checklist")
    keep(file.content)
    row.validate_constraints(exclude=["record"])
    return append_row(item.company, entry or Entry(actor=actor.person), row)


@transaction.atomic
def hold_upload(*, actor: Membership, file: Kept) -> PendingUpload:
    """Hold a read file of a form that was refused, for a day. What lapsed goes first."""
    require_role(actor, *MAY_ADD)
    PendingUpload.objects.lapsed().delete()
    keep(file.content)
    return PendingUpload.objects.create(
        member=actor,
        kind=file.kind,
        sha256=file.sha256,
        width_px=file.width_px,
        height_px=file.height_px,
        name_given=file.name,
    )


def held_file(held: PendingUpload | RoundPhotograph) -> Kept:
    """A held file as it was read. Raises RuleBroken where its bytes are gone."""
    try:
        content = path_of(held.sha256).read_bytes()
    except FileNotFoundError as fault:
        raise RuleBroken("The stored file is missing. Choose it again.", code="held-file-gone") from fault
    if held.kind == "document":
        return Document(content, 0, name=held.name_given)
    return Photograph(content, held.width_px or 0, held.height_px or 0, name=held.name_given)


def sweep_uploads() -> int:
    """Forget uploads that waited longer than a day, and remove bytes no row names. Returns how many files went."""
    PendingUpload.objects.lapsed().delete()
    return sweep_files()
