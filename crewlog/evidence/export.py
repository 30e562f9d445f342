"""A company's chain as lines of JSON, for the stand-alone verifier. The format is described in standalone/FORMAT.md."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.utils import timezone

from crewlog.evidence.chain import FIRST, hashed_columns
from crewlog.evidence.rows import CHUNK
from crewlog.models import Company, PersonDetails, Record

FORMAT, VERSION = "crewlog-chain", 1
VERIFIER = Path(__file__).parent / "standalone" / "verify_chain.py"


def chain_lines(company: Company, *, names: bool = False) -> Iterator[str]:
    """The lines of an export, each with its end of line. Memory does not grow with records.

    With `names` each person's name and salt go with it, so that the digests in the records can be checked.
    """
    head = {
        "format": FORMAT,
        "version": VERSION,
        "company": {"id": company.pk, "name": company.name},
        "exported_at": timezone.now().isoformat(),
    }
    yield line("chain", head)
    count, last = 0, FIRST
    for record in Record.objects.for_company(company).order_by("sequence").iterator(chunk_size=CHUNK):
        yield line("record", hashed_columns(record) | {"hash": record.hash})
        count, last = count + 1, record.hash
    if names:
        for details in PersonDetails.objects.filter(person__company=company).order_by("person_id"):
            yield line("name", {"person": str(details.person_id), "salt": details.salt, "name": details.name})
    yield line("end", {"records": count, "head": last})


def line(what: str, said: dict[str, Any]) -> str:
    return json.dumps({what: said}, ensure_ascii=False, allow_nan=False) + "\n"
