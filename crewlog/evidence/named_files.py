"""Whether the bytes that evidence names by their hash are those that were handed out: PDFs, photographs, documents."""

import hashlib
from collections.abc import Iterator

from crewlog.evidence.kinds import evidence_models
from crewlog.evidence.rows import CHUNK
from crewlog.files.columns import FileHashField
from crewlog.files.keeping import file_fault
from crewlog.models import Company, IssuedDocument

FEW = 50  # a PDF each


def paper_faults(company: Company) -> Iterator[str]:
    """PDFs whose bytes are not those that were handed out, or are gone without a record that says so."""
    rows = IssuedDocument.objects.for_company(company).select_related("record", "bytes", "purge").order_by("pk")
    for paper in rows.iterator(chunk_size=FEW):
        kept, purge = getattr(paper, "bytes", None), getattr(paper, "purge", None)
        place = f"record {paper.record.sequence} ({paper.record_kind})"
        if kept is not None and hashlib.sha256(bytes(kept.content)).hexdigest() != paper.sha256:
            yield f"{place}: the paper's bytes were changed"
        elif kept is None and purge is None:
            yield f"{place}: the paper's bytes are gone"
        elif kept is not None and purge is not None:
            yield f"{place}: the paper was purged and is still there"


def file_faults(company: Company) -> Iterator[str]:
    """Files that evidence names and whose bytes are missing or changed, read in pieces."""
    for model in evidence_models():
        for column in (f.attname for f in model._meta.concrete_fields if isinstance(f, FileHashField)):
            rows = model._default_manager.filter(record__company=company).select_related("record").order_by("pk")
            for row in rows.iterator(chunk_size=CHUNK):
                fault = file_fault(getattr(row, column))
                if fault:
                    yield f"record {row.record.sequence} ({row.record.kind}): {fault}"
