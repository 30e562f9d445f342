"""What a hold on an item reaches: the item by its tag, and everyone whom a record about it names."""

from collections.abc import Iterator

from crewlog.evidence import about
from crewlog.hooks import Found, Refusal
from crewlog.models import Company, Person, Record
from crewlog.retention.rules import people_in, records_naming
from gear.models import ExaminationReport, GearItem
from gear.register.address import item_by_tag


def find_item(company: Company, tag: str) -> Found | None:
    item = item_by_tag(company, tag)
    return None if item is None else Found(str(item.pk), item.tag)


def item_name(company: Company, key: str) -> str:
    """The item's tag. One query."""
    tag = GearItem.objects.for_company(company).filter(pk=key).values_list("tag", flat=True).first()
    return f"item {tag}" if tag else "an item"


def people_of_item(company: Company, key: str) -> set[str]:
    """Everyone named by a record about the item, retired or not; as a part, a set or a gauge too."""
    rows = Record.objects.filter(about(GearItem, [int(key)])).order_by()
    return people_in(rows.iterator(chunk_size=2000))


def reports_in_evidence(person: Person) -> Iterator[Refusal]:
    """Reports whose paper stands in the evidence itself, where no one can let it go."""
    if ExaminationReport.objects.filter(record__in=records_naming(person)).exclude(pdf=b"").exists():
        yield Refusal("paper-in-evidence", "A report of examination contains the name permanently.")
