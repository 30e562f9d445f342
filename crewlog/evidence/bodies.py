"""What the records of some kinds say, in their order."""

import json
from collections.abc import Iterator
from typing import Any

from crewlog.evidence.rows import CHUNK
from crewlog.models import Company, Record


def bodies(company: Company, *kinds: str) -> Iterator[tuple[Record, dict[str, Any]]]:
    """Records of these kinds from the first on, each with its body. A body that cannot be read is left out: its hash
    tells of that. Memory does not grow with records."""
    rows = Record.objects.for_company(company).filter(kind__in=kinds).order_by("sequence")
    for record in rows.iterator(chunk_size=CHUNK):
        try:
            said = json.loads(record.body)
        except ValueError:
            continue
        if isinstance(said, dict):
            yield record, said
