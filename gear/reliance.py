"""Papers that rely on an item from today on: other apps say which list it, and for which day."""

import datetime as dt
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass

from crewlog.models import Company
from crewlog.registry import Registry


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper in force that lists an item for a day, today or later."""

    item_id: int
    day: dt.date
    title: str
    url: str


Supplier = Callable[[Company], list[Paper]]

suppliers: Registry[Supplier] = Registry()


def papers_of(company: Company) -> dict[int, list[Paper]]:
    """A company's papers in force by the item they list. A fixed number of queries."""
    found = defaultdict(list)
    for supplier in suppliers:
        for paper in supplier(company):
            found[paper.item_id].append(paper)
    return dict(found)
