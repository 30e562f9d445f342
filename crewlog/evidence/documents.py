"""Keeping documents that were handed out, and letting their bytes go."""

import hashlib

from django.db import transaction

from crewlog.evidence import Entry, append_row
from crewlog.models import IssuedDocument, IssuedDocumentBytes, IssuedDocumentPurge, Record


@transaction.atomic
def keep_document(*, of: Record, entry: Entry, content: bytes) -> IssuedDocument:
    """Keep what was handed out for a record: sha256 and length as evidence, the bytes beside it.

    A record has one document: IntegrityError for a second.
    """
    row = IssuedDocument(of=of, sha256=hashlib.sha256(content).hexdigest(), length=len(content))
    document = append_row(of.company, entry, row)
    IssuedDocumentBytes.objects.create(paper=document, content=content)
    return document


def document_bytes(record: Record) -> bytes | None:
    """What was handed out for a record; None when it was let go, or when nothing was. One query."""
    kept = IssuedDocumentBytes.objects.filter(paper__of=record).first()
    return None if kept is None else bytes(kept.content)


@transaction.atomic
def purge_document(*, document: IssuedDocument, entry: Entry, because: str) -> IssuedDocumentPurge:
    """Let the bytes of a document go; its hash and this record stay."""
    purge = append_row(document.record.company, entry, IssuedDocumentPurge(paper=document, because=because))
    IssuedDocumentBytes.objects.filter(paper=document).delete()
    return purge
