"""Two years of examinations and events, typed in from paper in the order they happened."""

import datetime as dt
import zlib
from collections.abc import Callable, Iterator

from crewlog.evidence import Entry
from gear.catalogue.wear import WearMeasure
from gear.events.retire import retire_item
from gear.events.services import record_event
from gear.examinations.examination import Answer, Examination
from gear.examinations.measuring import when_new
from gear.examinations.services import EmployerNotice, Verdict, record_inspection
from gear.fitness.inspection_rules import InspectionRules
from gear.fitness.rules import add_months
from gear.models import GearItem
from gear.recalls.services import record_recall, resolve_recall
from gear.register.services import count_uses
from jobs.demo.scenario import Cast, Facts, Happening
from jobs.demo.worked import loads, part_change

HISTORY_DAYS = 730
INTERIM_AFTER_DAYS = 88
INTERIM_CLASSES = ("rope", "tackle_rope")
NEW_GEAR_DAYS = 10  # from purchase to the examination before first use


def add_history(cast: Cast, listed: list[Facts], data: Facts) -> None:
    """Enter the whole history by the day it happened."""
    happenings = [
        *(h for facts in listed for h in examinations(cast, facts)),
        *(h for facts in data.get("events", []) for h in events(cast, facts)),
        *(verdict(cast, facts) for facts in data.get("verdicts", [])),
        *(retirement(cast, facts) for facts in listed if "retire" in facts),
        *(part_change(cast, facts) for facts in data.get("parts", [])),
        *loads(cast, data.get("loads", {})),
    ]
    for happening in sorted(happenings, key=lambda h: (h.day, h.order, h.tag)):
        happening.enter()
    if "recall" in data:
        recall(cast, data["recall"])


def examinations(cast: Cast, facts: Facts) -> Iterator[Happening]:
    """Thorough examinations back from the last one, with an interim one between where the class is worn fast."""
    item, examiner = cast.items[facts["tag"]], facts.get("examiner", "inspector")
    if "declared" in facts:
        yield declaration(cast, item, facts)
    if facts["due_in"] is None:
        return
    due = cast.day(facts["due_in"])
    for number, (day, months) in enumerate(examination_days(cast, item, facts)):
        sets = due if number == 0 and add_months(day, months) > due else None
        yield Happening(day, 0, item.tag, examine(cast, item, "thorough", day, examiner=examiner, next_due_on=sets))
        interim = day + dt.timedelta(days=INTERIM_AFTER_DAYS)
        if item.gear_class in INTERIM_CLASSES and interim < cast.today and not is_gone(cast, facts, interim):
            yield Happening(interim, 0, item.tag, examine(cast, item, "interim", interim, examiner=examiner))
    if "uses" in facts:
        words = "Uses counted in the van's book"
        yield Happening(cast.day(-30), 0, item.tag, lambda: count_uses(
            actor=cast.members["owner"], item=item, on=cast.day(-30), description=words, uses=facts["uses"]
        ))  # fmt: skip


def examination_days(cast: Cast, item: GearItem, facts: Facts) -> Iterator[tuple[dt.date, int]]:
    """Days of the thorough examinations, the last one first, and the interval they were made at."""
    book = InspectionRules.of(cast.company)
    months = min(i.months for i in book.intervals(gear_class=item.gear_class, uses=item.uses))
    due = cast.day(facts["due_in"])
    day = add_months(due, -months)
    while add_months(day, months) < due:  # six months back from the 31st may fall short of it
        day += dt.timedelta(days=1)
    first = max(cast.day(-HISTORY_DAYS), cast.day(facts["used"]))
    while day > first:
        yield day, months
        day = add_months(day, -months) + dt.timedelta(days=3)  # examined a little before it was due
        if (day - first).days < NEW_GEAR_DAYS:
            break
    yield first, months


def is_gone(cast: Cast, facts: Facts, day: dt.date) -> bool:
    return "retire" in facts and day >= cast.day(facts["retire"]["day"])


def examine(
    cast: Cast, item: GearItem, kind: str, day: dt.date, *, examiner: str, next_due_on: dt.date | None = None
) -> Callable[[], object]:
    """A passed examination with figures a little worse each year."""
    return lambda: record_inspection(
        actor=cast.members[examiner],
        item=item,
        examination=Examination(kind, day, answers=all_good(item), measures=measures(item, day)),
        verdict=Verdict("fit", next_due_on=next_due_on),
        from_paper=True,
    )


def all_good(item: GearItem) -> dict[str, Answer]:
    return {point.code: Answer("good") for point in item.declared.checklist.points}


def measures(item: GearItem, day: dt.date) -> dict[str, float]:
    """Wear as measured: it grows with the years in use, differs from item to item and stays within its limit."""
    start = item.first_used_on or day
    years = max(0.0, (day - start).days / 365)
    found = {}
    for measure in item.declared.measures:
        value = worn(measure, when_new(item, measure), years, seed=f"{item.tag} {measure.name}")
        if value is not None:
            found[measure.name] = value
    return found


def worn(measure: WearMeasure, new: float | None, years: float, *, seed: str) -> float | None:
    pace = 0.6 + (zlib.crc32(seed.encode()) % 100) / 125  # 0.6 to 1.4, always the same for one item
    share = min(0.85, 0.08 * pace * years)  # of what the limit allows to be lost
    if measure.max_value is not None:
        return round(measure.max_value * share, 4)
    min_value = measure.min_value(new)
    return round(new - (new - min_value) * share, 2) if new is not None and min_value is not None else None


def declaration(cast: Cast, item: GearItem, facts: Facts) -> Happening:
    day, dated = cast.day(facts["declared"] + 2), cast.day(facts["declared"])
    return Happening(day, 0, item.tag, lambda: record_inspection(
        actor=cast.members["owner"],
        item=item,
        examination=Examination("declaration", day, declaration_dated_on=dated),
        verdict=Verdict("fit"),
        from_paper=True,
    ))  # fmt: skip


def events(cast: Cast, facts: Facts) -> Iterator[Happening]:
    """An event, and the examination that returned the item where there was one."""
    item, day = cast.items[facts["tag"]], cast.day(facts["day"])
    yield Happening(day, 1, item.tag, lambda: record_event(
        actor=cast.members[facts["by"]],
        item=item,
        kind=facts["kind"],
        happened_on=day,
        description=facts["words"],
        gear_loaded=facts.get("loaded"),
        load_n=facts.get("load_n"),
        from_paper=True,
    ))  # fmt: skip
    if "examined" not in facts:
        return
    looked = cast.day(facts["examined"])
    yield Happening(looked, 2, item.tag, lambda: record_inspection(
        actor=cast.members["owner" if item.spliced_by_id else "inspector"],
        item=item,
        examination=Examination("after_event", looked, answers=all_good(item), findings=facts["found"]),
        verdict=Verdict("fit"),
        from_paper=True,
    ))  # fmt: skip


def verdict(cast: Cast, facts: Facts) -> Happening:
    """An examination that found something."""
    item, day = cast.items[facts["tag"]], cast.day(facts["day"])
    answer = "remark" if facts["verdict"] == "remark" else "fail"
    answers = all_good(item) | {facts["point"]: Answer(answer, facts["saw"])}
    told = EmployerNotice(at=cast.moment(facts["day"], 16), how=facts["told"]) if "told" in facts else EmployerNotice()
    signed = Verdict(
        facts["verdict"],
        remark_due_on=cast.day(facts["mend_in"]) if "mend_in" in facts else None,
        told=told,
    )
    return Happening(day, 2, item.tag, lambda: record_inspection(
        actor=cast.members["inspector"],
        item=item,
        examination=Examination(facts["kind"], day, answers=answers),
        verdict=signed,
        from_paper=True,
    ))  # fmt: skip


def retirement(cast: Cast, facts: Facts) -> Happening:
    item, said = cast.items[facts["tag"]], facts["retire"]
    day, owner = cast.day(said["day"]), cast.members["owner"]
    entry = Entry(actor=owner.person, happened_at=cast.moment(said["day"], 12), from_paper=True)
    return Happening(day, 3, item.tag, lambda: retire_item(
        actor=owner, item=item, because=said["because"], disposal=said["disposal"], on=day, entry=entry
    ))  # fmt: skip


def recall(cast: Cast, facts: Facts) -> None:
    """A maker's recall, and the item it turned out not to cover."""
    row = record_recall(
        actor=cast.members["owner"],
        maker=facts["maker"],
        maker_model=facts["maker_model"],
        batches=tuple(facts["batches"]),
        announced_on=cast.day(facts["day"]),
        source=facts["source"],
        description=facts["words"],
    )
    for tag, because in facts["not_covered"].items():
        item = cast.items[tag]
        resolve_recall(actor=cast.members["inspector"], item=item, recall=row, because=because)
