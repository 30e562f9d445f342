"""Checking a whole list against itself and against the register, in batches; nothing is saved here."""

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, field
from itertools import islice
from typing import Any, TypeVar

from django.db.models.functions import Upper

from crewlog.models import Company
from gear.lists.comparing import differences
from gear.lists.faults import Fault, Unreadable
from gear.lists.limits import FAULTS_KEPT
from gear.lists.reading import Plan, ReadRow, read_row, retirement_faults
from gear.lists.references import References
from gear.lists.source import Source, rows_of
from gear.lists.spool import Kept, Spool
from gear.models import GearItem
from gear.register.bulk import item_faults, new_item

BATCH = 500
SAMPLE = 8
Thing = TypeVar("Thing")


@dataclass(slots=True)
class Report:
    """What a check found. Counts are of everything; of faults and doubts the first thousand are kept."""

    new: int = 0
    same: int = 0
    notes: int = 0
    fault_count: int = 0
    faults: list[Fault] = field(default_factory=list)
    doubt_count: int = 0
    doubts: list[Fault] = field(default_factory=list)
    sample: list[dict[str, Any]] = field(default_factory=list)

    @property
    def rows(self) -> int:
        return self.new + self.same

    def add(self, fault: Fault) -> None:
        self.fault_count += 1
        if len(self.faults) < FAULTS_KEPT:
            self.faults.append(fault)

    def doubt(self, fault: Fault) -> None:
        self.doubt_count += 1
        if len(self.doubts) < FAULTS_KEPT:
            self.doubts.append(fault)

    def as_dict(self) -> dict[str, Any]:
        return asdict(self)

    @classmethod
    def of(cls, said: dict[str, Any]) -> "Report":
        """The report that `as_dict` wrote."""
        facts = dict(said)
        for name in ("faults", "doubts"):
            facts[name] = [Fault(**fault) for fault in facts.get(name, [])]
        return cls(**facts)


def in_batches(things: Iterable[Thing], size: int = BATCH) -> Iterator[list[Thing]]:
    """Lists of at most so many, in order."""
    rest = iter(things)
    while batch := list(islice(rest, size)):
        yield batch


def items_by_tag(company: Company, tags: Iterable[str]) -> dict[str, GearItem]:
    """Items of a company by tag in capitals. One query."""
    rows = GearItem.objects.for_company(company).annotate(folded=Upper("tag")).filter(folded__in=set(tags))
    return {item.tag.upper(): item for item in rows.select_related("assembly", "parent", "retirement")}


class ListCheck:
    """One check of one list. Rows that pass and are new go to the spool, if there is one."""

    def __init__(self, company: Company, plan: Plan, spool: Spool | None = None) -> None:
        self.company, self.plan, self.spool = company, plan, spool
        self.today: dt.date = company.today()
        self.report = Report()
        self.first_row: dict[str, int] = {}
        self.serials: dict[tuple[str, str], int] = {}
        self.references = References(plan)

    def run(self, source: Source) -> Report:
        """Read every row. A file that stops being a list half way is a fault of the whole."""
        try:
            for words in source.faults(self.plan.sheet):
                self.report.add(Fault(0, "", "", "", words))
            rows = rows_of(source, encoding=self.plan.encoding, sheet=self.plan.sheet)
            below = (row for row in rows if row.number > self.plan.heading_row)
            for batch in in_batches(read_row(self.plan, row) for row in below):
                self._check_batch(batch)
        except Unreadable as broken:
            self.report.add(Fault(0, "", "", "", broken.message))
        for fault in self.references.faults(lambda tags: items_by_tag(self.company, tags)):
            self.report.add(fault)
        if not self.report.rows and not self.report.fault_count:
            self.report.add(Fault(0, "", "", "", "There is no row below the headings. Write one item a row."))
        self.report.faults.sort(key=lambda fault: fault.row)
        return self.report

    def _check_batch(self, batch: list[ReadRow]) -> None:
        in_store = items_by_tag(self.company, (read.tag.upper() for read in batch if read.tag))
        twins = self._serial_twins(batch)
        for read in batch:
            if read.is_note:
                self.report.notes += 1
            elif self._is_well_read(read):
                known = in_store.get(read.tag.upper())
                if known is not None:
                    self._check_known(read, known)
                else:
                    self._check_new(read, twins)

    def _is_well_read(self, read: ReadRow) -> bool:
        faults = [*read.faults, *retirement_faults(read, self.plan, self.today)]
        if read.tag:
            first = self.first_row.setdefault(read.tag.upper(), read.row.number)
            self.references.seen(read)
            if first != read.row.number:
                faults.append(self.plan.fault(read.row, "tag", f"Row {first} has the same tag. A tag is used once."))
        for fault in faults:
            self.report.add(fault)
        return not faults

    def _check_known(self, read: ReadRow, known: GearItem) -> None:
        """A tag of the register may stand in a list again if the row says what the register says."""
        found = list(differences(read, known))
        for name, words in found:
            self.report.add(self.plan.fault(read.row, name, f"{words} A list adds items; it does not change them."))
        self.report.same += not found

    def _check_new(self, read: ReadRow, twins: dict[tuple[str, str], str]) -> None:
        item = new_item(self.company, **{name: value for name, value in read.facts.items() if name != "spliced_by"})
        found = list(item_faults(item))
        for name, words, _ in found:
            self.report.add(self.plan.fault(read.row, name, words))
        if found:
            return
        self.report.new += 1
        self._look_for_twin(read, twins)
        if len(self.report.sample) < SAMPLE:
            self.report.sample.append({"row": read.row.number, **_sampled(item)})
        if self.spool is not None:
            self.spool.keep(Kept(read.row.number, read.facts, read.references, read.retirement))

    def _serial_twins(self, batch: list[ReadRow]) -> dict[tuple[str, str], str]:
        """Tags of the register's items by maker and serial number, for the serial numbers of a batch. One query."""
        serials = {read.facts["serial"] for read in batch if read.facts.get("maker") and read.facts.get("serial")}
        if not serials:
            return {}
        rows = GearItem.objects.for_company(self.company).real().filter(serial__in=serials)
        return {(maker.casefold(), serial): tag for maker, serial, tag in rows.values_list("maker", "serial", "tag")}

    def _look_for_twin(self, read: ReadRow, twins: dict[tuple[str, str], str]) -> None:
        maker, serial = read.facts.get("maker"), read.facts.get("serial")
        if not maker or not serial:
            return
        key = (maker.casefold(), serial)
        first = self.serials.setdefault(key, read.row.number)
        other = twins.get(key) or (f"row {first}" if first != read.row.number else "")
        if other:
            words = f"Maker and serial number are those of {other}. Is it the same item with two tags?"
            self.report.doubt(self.plan.fault(read.row, "serial", words))


def _sampled(item: GearItem) -> dict[str, Any]:
    """What the preview shows of an item as it was understood."""
    names = ("tag", "gear_class", "description", "working_load_limit_n", "breaking_strength_n", "vertical_rating_n")
    return {name: getattr(item, name) for name in (*names, "length_m", "diameter_mm")}


def check_list(company: Company, source: Source, plan: Plan, spool: Spool | None = None) -> Report:
    """Check a list against itself and the register. Nothing is saved; queries are a few for each 500 rows."""
    return ListCheck(company, plan, spool).run(source)
