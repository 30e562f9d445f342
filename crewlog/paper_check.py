"""Whether the bytes of papers are those that were handed out."""

import hashlib
from collections.abc import Iterator

from crewlog.models import Company, Paper


def paper_faults(company: Company) -> Iterator[str]:
    """Papers whose bytes are not those that were handed out, or are gone without a record that says so."""
    rows = Paper.objects.for_company(company).select_related("record", "bytes", "purge")
    for paper in rows.iterator(chunk_size=50):
        kept, purge = getattr(paper, "bytes", None), getattr(paper, "purge", None)
        if kept is not None and hashlib.sha256(bytes(kept.content)).hexdigest() != paper.sha256:
            yield f"record {paper.record.sequence} ({paper.record_kind}): the paper's bytes were changed"
        elif kept is None and purge is None:
            yield f"record {paper.record.sequence} ({paper.record_kind}): the paper's bytes are gone"
        elif kept is not None and purge is not None:
            yield f"record {paper.record.sequence} ({paper.record_kind}): the paper was purged and is still there"
