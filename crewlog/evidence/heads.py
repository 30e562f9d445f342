"""Heads of the chain that were kept elsewhere: stored with sheets and reports, and printed on kept PDFs."""

import io
from collections.abc import Iterable, Iterator
from itertools import islice

from pypdf import PdfReader
from pypdf.errors import PyPdfError

from crewlog.evidence.chain import FIRST
from crewlog.evidence.kinds import evidence_models
from crewlog.evidence.named_files import FEW
from crewlog.evidence.rows import CHUNK
from crewlog.models import Company, IssuedDocument, Record
from crewlog.pdf.head_code import head_in

COLUMN = "chain_head"  # a column of evidence of this name holds the head as it was when the row was entered
TOGETHER = 400


def stored_head_faults(company: Company) -> Iterator[str]:
    """Heads stored with sheets and reports that do not stand in the chain before their own record."""
    for model in evidence_models():
        if COLUMN in {field.name for field in model._meta.concrete_fields}:
            rows = model._default_manager.filter(record__company=company).order_by("pk")
            found = rows.values_list("record__sequence", "record__kind", COLUMN).iterator(chunk_size=CHUNK)
            yield from misplaced(company, found, where="stored with it")


def printed_head_faults(company: Company) -> Iterator[str]:
    """Heads printed on kept PDFs that do not stand in the chain before the record they were handed out for."""
    yield from misplaced(company, printed_heads(company), where="printed on its PDF")


def printed_heads(company: Company) -> Iterator[tuple[int, str, str]]:
    """Place and kind of the record of each kept PDF, and the head its first page prints, where it prints one."""
    rows = (
        IssuedDocument.objects.for_company(company)
        .filter(bytes__isnull=False)
        .select_related("of", "bytes")
        .order_by("pk")
    )
    for document in rows.iterator(chunk_size=FEW):
        head = printed_head(bytes(document.bytes.content))
        if head:
            yield document.of.sequence, document.of.kind, head


def printed_head(content: bytes) -> str:
    """The head that the first page of a PDF prints; empty where there is none, or no PDF."""
    try:
        text = PdfReader(io.BytesIO(content)).pages[0].extract_text()
    except (PyPdfError, IndexError, KeyError, ValueError):
        return ""
    return head_in(text)


def misplaced(company: Company, found: Iterable[tuple[int, str, str]], *, where: str) -> Iterator[str]:
    """Of (place of a record, its kind, a head before it), those whose head is not there. One query for many."""
    rest = iter(found)
    while chunk := list(islice(rest, TOGETHER)):
        followers = Record.objects.for_company(company).filter(previous_hash__in={head for _, _, head in chunk})
        places = {FIRST: 1} | dict(followers.values_list("previous_hash", "sequence"))
        for sequence, kind, head in chunk:
            if head not in places:
                yield f"record {sequence} ({kind}): the head {head[:12]}… {where} is not in the chain"
            elif places[head] > sequence:
                yield f"record {sequence} ({kind}): the head {head[:12]}… {where} stands after it in the chain"
