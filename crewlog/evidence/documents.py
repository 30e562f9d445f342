"""Keeping paper that was handed out, and letting its bytes go."""

import hashlib

from django.db import transaction

from crewlog.evidence import Entry, append_row
from crewlog.models import Paper, PaperBytes, PaperPurge, Record


@transaction.atomic
def keep_paper(*, of: Record, entry: Entry, content: bytes) -> Paper:
    """Keep what was handed out for a record: its hash as evidence, its bytes beside it."""
    row = Paper(of=of, sha256=hashlib.sha256(content).hexdigest(), length=len(content))
    paper = append_row(of.company, entry, row)
    PaperBytes.objects.create(paper=paper, content=content)
    return paper


def paper_bytes(record: Record) -> bytes | None:
    """What was handed out for a record; None when it was let go, or when nothing was."""
    kept = PaperBytes.objects.filter(paper__of=record).first()
    return None if kept is None else bytes(kept.content)


@transaction.atomic
def purge_paper(*, paper: Paper, entry: Entry, because: str) -> PaperPurge:
    """Let the bytes of a paper go; its hash and this record stay."""
    purge = append_row(paper.record.company, entry, PaperPurge(paper=paper, because=because))
    PaperBytes.objects.filter(paper=paper).delete()
    return purge
