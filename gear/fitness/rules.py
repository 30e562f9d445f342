"""When an item is fit, when it falls due, and what a recall catches. Standard library only.

Loads, money and opinions stay out: every function here answers from facts and dates alone.
"""

import calendar
import datetime as dt
import re
from collections.abc import Iterable
from dataclasses import dataclass

from gear.fitness.reasons import Reason, day_words

DECLARATION_MONTHS = 12
SET_BY_INSPECTOR = "set by the inspector"


def add_months(day: dt.date, months: int) -> dt.date:
    """The same day of the month so many months on; the last of the month where there is no such day.

    Six months from 31 August is the last of February. Range: any whole number of months within the calendar.
    """
    year, month0 = divmod(day.year * 12 + day.month - 1 + months, 12)
    last = calendar.monthrange(year, month0 + 1)[1]
    return dt.date(year, month0 + 1, min(day.day, last))


@dataclass(frozen=True, slots=True)
class Interval:
    """Months between inspections of one kind, and the rule they come from."""

    inspection_kind: str
    months: int
    basis: str


@dataclass(frozen=True, slots=True)
class Due:
    """A due date and where it comes from."""

    on: dt.date
    basis: str


def next_due(
    *,
    examined_on: dt.date,
    scheme: Iterable[Interval],
    maker_months: int | None = None,
    inspector_set: dt.date | None = None,
    interim_on: dt.date | None = None,
) -> Due | None:
    """The earliest of the scheme's intervals, the maker's and what the inspector set; None when nothing sets one.

    `examined_on` is the last thorough examination, `interim_on` the last interim one (a thorough examination counts
    as one too). An item due on a day may be used on that day.
    """
    candidates = []
    for interval in scheme:
        start = examined_on
        if interval.inspection_kind == "interim" and interim_on is not None:
            start = max(examined_on, interim_on)
        candidates.append(Due(add_months(start, interval.months), f"{interval.months} months: {interval.basis}"))
    if maker_months is not None:
        candidates.append(Due(add_months(examined_on, maker_months), f"{maker_months} months: maker's instructions"))
    if inspector_set is not None:
        candidates.append(Due(inspector_set, SET_BY_INSPECTOR))
    # On one and the same day the written rule is named before the inspector's choice.
    return min(candidates, key=lambda due: due.on, default=None)


@dataclass(frozen=True, slots=True)
class Life:
    """When a life ends by the rules that apply, and whether a date it needs is unknown."""

    ends_on: dt.date | None
    date_missing: bool


def life_end(
    *,
    years_from_manufacture: int | None,
    years_from_first_use: int | None,
    manufactured_on: dt.date | None,
    first_used_on: dt.date | None,
    is_unused: bool,
) -> Life:
    """The earlier end of the lives set; an unused item's life from first use has not begun."""
    ends = []
    missing = False
    if years_from_manufacture is not None:
        if manufactured_on is None:
            missing = True
        else:
            ends.append(add_months(manufactured_on, 12 * years_from_manufacture))
    if years_from_first_use is not None and not is_unused:
        if first_used_on is None:
            missing = True
        else:
            ends.append(add_months(first_used_on, 12 * years_from_first_use))
    return Life(min(ends, default=None), missing)


def declaration_counts(*, dated_on: dt.date, first_used_on: dt.date | None, is_unused: bool) -> bool:
    """Whether a declaration of conformity stands for the pre-service examination.

    Only for gear that was unused when it was made out, and not over twelve months old at first use.
    """
    if is_unused:
        return True
    return first_used_on is not None and dated_on <= first_used_on <= add_months(dated_on, DECLARATION_MONTHS)


def verdict_from_answers(answers: Iterable[str], *, measures_pass: bool) -> str:
    """The best verdict the answers allow: a fail or a refused measure takes it out of use, a remark stays a remark."""
    given = list(answers)
    if "fail" in given or not measures_pass:
        return "out_of_use"
    return "remark" if "remark" in given else "fit"


# From the best to the worst; an inspector may always be stricter than the answers, never milder.
VERDICT_RANK = {"fit": 0, "remark": 1, "out_of_use": 2, "retire": 3}


def verdict_allowed(verdict: str, *, best: str) -> bool:
    """Whether a verdict is no milder than the best one the answers allow; what failed was examined."""
    if verdict == "not_examined":
        return best not in ("out_of_use", "retire")
    return VERDICT_RANK[verdict] >= VERDICT_RANK[best]


@dataclass(frozen=True, slots=True)
class ItemFacts:
    """What fitness is judged from; dates that are unknown or do not apply are None."""

    tag: str
    carries_load: bool
    has_rating: bool
    retired_on: dt.date | None = None
    retired_because: str = ""
    is_mistake: bool = False
    quarantined_on: dt.date | None = None
    quarantined_because: str = ""
    examination_pending_since: dt.date | None = None
    examination_pending_because: str = ""
    pre_service_on: dt.date | None = None
    pre_service_ends_on: dt.date | None = None
    next_due_on: dt.date | None = None
    next_due_basis: str = ""
    remark_due_on: dt.date | None = None
    remark: str = ""
    borrowed_from: str = ""
    due_back_on: dt.date | None = None
    life_ends_on: dt.date | None = None
    life_date_missing: bool = False
    permitted_uses: int | None = None
    uses_made: int = 0
    uses_end_at: int | None = None
    recall_unresolved: bool = False
    marking_illegible: bool = False
    parts_expected: int | None = None
    parts: tuple["ItemFacts", ...] = ()


def fitness(facts: ItemFacts, last_day: dt.date) -> tuple[Reason, ...]:
    """Every reason why an item is not fit up to and including a day, gravest first; empty when it is fit."""
    return (
        *_out_of_service(facts, last_day),
        *_examination_reasons(facts, last_day),
        *_loan_reasons(facts, last_day),
        *_life_reasons(facts, last_day),
        *_identity_reasons(facts),
        *_part_reasons(facts, last_day),
    )


def _out_of_service(facts: ItemFacts, last_day: dt.date) -> Iterable[Reason]:
    if facts.is_mistake and facts.retired_on is not None and facts.retired_on <= last_day:
        words = f"The entry was closed on {day_words(facts.retired_on)}: {facts.retired_because}."
        yield Reason("retired", words, facts.retired_on, "Use another item.", "Entered by mistake")
    elif facts.retired_on is not None and facts.retired_on <= last_day:
        words = f"Retired on {day_words(facts.retired_on)}: {facts.retired_because}."
        yield Reason("retired", words, facts.retired_on, "Use another. Retirement is permanent.")
    if facts.quarantined_on is not None and facts.quarantined_on <= last_day:
        words = f"Out of use since {day_words(facts.quarantined_on)}. {facts.quarantined_because}."
        cure = "Have it examined and passed by a competent person, or retire it."
        yield Reason("quarantined", words, facts.quarantined_on, cure)
    since = facts.examination_pending_since
    if since is not None and since <= last_day:
        words = f"Not examined since {day_words(since)}. {facts.examination_pending_because}."
        yield Reason("examination-pending", words, since, "Have it examined after the event, then use it.")


def has_pre_service(facts: ItemFacts, last_day: dt.date) -> bool:
    """Whether an examination or declaration before first use stands on the day."""
    begun = facts.pre_service_on is not None and facts.pre_service_on <= last_day
    return begun and (facts.pre_service_ends_on is None or last_day <= facts.pre_service_ends_on)


def _examination_reasons(facts: ItemFacts, last_day: dt.date) -> Iterable[Reason]:
    if not has_pre_service(facts, last_day):
        lapsed = facts.pre_service_ends_on
        if facts.pre_service_on is not None and lapsed is not None and lapsed < last_day:
            words = f"Its declaration of conformity is over {DECLARATION_MONTHS} months old after {day_words(lapsed)}."
        else:
            words = "No thorough examination and no declaration of conformity before first use."
        yield Reason("never-inspected", words, lapsed, "Have it thoroughly examined before first use.")
    elif facts.next_due_on is None:
        words = "No inspection interval covers what it is used for."
        yield Reason("overdue", words, None, "Ask the owner to switch on an inspection interval for its uses.")
    elif facts.next_due_on < last_day:
        words = f"Due on {day_words(facts.next_due_on)}, before {day_words(last_day)} ({facts.next_due_basis})."
        yield Reason("overdue", words, facts.next_due_on, "Have it examined, or use another.")
    if facts.remark_due_on is not None and facts.remark_due_on < last_day:
        words = f"To be mended by {day_words(facts.remark_due_on)}: {facts.remark}."
        yield Reason("remark-overdue", words, facts.remark_due_on, "Mend it and have it examined again.")


def _loan_reasons(facts: ItemFacts, last_day: dt.date) -> Iterable[Reason]:
    if facts.due_back_on is not None and facts.due_back_on < last_day:
        words = (
            f"Borrowed from {facts.borrowed_from}: goes back on {day_words(facts.due_back_on)}, "
            f"before {day_words(last_day)}."
        )
        yield Reason("due-back", words, facts.due_back_on, "Agree a later day with the lender, or use another.")


def _life_reasons(facts: ItemFacts, last_day: dt.date) -> Iterable[Reason]:
    if facts.life_ends_on is not None and facts.life_ends_on < last_day:
        words = f"Its life ends on {day_words(facts.life_ends_on)}."
        yield Reason("life-ends", words, facts.life_ends_on, "Retire it and use another.")
    elif facts.uses_end_at is not None and facts.uses_made >= facts.uses_end_at:
        whose = "permitted" if facts.uses_end_at == facts.permitted_uses else "that the company allows its class"
        words = f"Used {facts.uses_made} times of {facts.uses_end_at} {whose}."
        yield Reason("life-ends", words, facts.uses_end_at, "Retire it and use another.")
    if facts.life_date_missing:
        words = "Its life runs from a date that is not on record."
        yield Reason("dates-missing", words, None, "Enter the date of manufacture or first use, or retire it.")


def _identity_reasons(facts: ItemFacts) -> Iterable[Reason]:
    if facts.recall_unresolved:
        words = "A maker's recall may cover it."
        yield Reason("recall-unresolved", words, None, "Read batch and serial, close the recall, or retire it.")
    if facts.marking_illegible:
        words = "Its tag or rating cannot be read on it."
        yield Reason("marking-illegible", words, None, "Renew the marking and have it examined.")
    if facts.carries_load and not facts.has_rating:
        words = "It would carry load, and neither working load limit nor breaking strength is known."
        yield Reason("unrated", words, None, "Enter the rating from its marking or certificate.")


def _part_reasons(facts: ItemFacts, last_day: dt.date) -> Iterable[Reason]:
    if facts.parts_expected is None:
        return
    unfit = [part.tag for part in facts.parts if fitness(part, last_day)]
    missing = facts.parts_expected - len(facts.parts)
    if not unfit and missing <= 0:
        return
    said = []
    if unfit:
        said.append(f"unfit: {', '.join(sorted(unfit))}")
    if missing > 0:
        said.append(f"{missing} of {facts.parts_expected} parts missing")
    sentence = "; ".join(said)
    words = f"{sentence[0].upper()}{sentence[1:]}."
    yield Reason("part-unfit", words, max(missing, 0) + len(unfit), "Replace or mend the part, then examine the set.")


@dataclass(frozen=True, slots=True)
class RecallNotice:
    """What a maker recalled: all of a model where no batch and no serial numbers are named."""

    maker: str
    maker_model: str = ""
    batches: tuple[str, ...] = ()
    serial_from: str = ""
    serial_to: str = ""
    gear_classes: tuple[str, ...] = ()  # none named: every class


def recall_may_cover(
    notice: RecallNotice, *, maker: str, maker_model: str, batch: str, serial: str, gear_class: str = ""
) -> bool:
    """Whether a recall may cover an item. What is unknown of the item matches until someone resolves it."""
    if notice.gear_classes and gear_class and gear_class not in notice.gear_classes:
        return False
    if maker.strip() and not _same(maker, notice.maker):
        return False
    if notice.maker_model and maker_model.strip() and not _same(maker_model, notice.maker_model):
        return False
    if not notice.batches and not notice.serial_from:
        return True
    if notice.batches and (not batch.strip() or any(_same(batch, b) for b in notice.batches)):
        return True
    return bool(notice.serial_from) and _serial_within(serial, notice.serial_from, notice.serial_to)


def recall_match_words(notice: RecallNotice, *, maker: str, maker_model: str, batch: str, serial: str) -> str:
    """Why a recall may cover an item that it may cover: what is the same, and what of the item is not known."""
    unknown = [
        word
        for word, named, value in (
            ("maker", notice.maker, maker),
            ("model", notice.maker_model, maker_model),
            ("batch", notice.batches, batch),
            ("serial number", notice.serial_from, serial),
        )
        if named and not value.strip()
    ]
    if any(_same(batch, each) for each in notice.batches if batch.strip()):
        return f"Batch {batch.strip()} is named"
    if notice.serial_from and serial.strip() and _serial_within(serial, notice.serial_from, notice.serial_to):
        return f"Serial number {serial.strip()} is in the range, or cannot be told from it"
    if unknown:
        words = " and ".join(unknown)
        return f"{words[0].upper()}{words[1:]} not recorded: counts as covered until the recall is closed"
    return "All of this model" if notice.maker_model else "All of this maker"


def _same(one: str, other: str) -> bool:
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()


def _serial_within(serial: str, first: str, last: str) -> bool:
    """Whether a serial number lies in a range; one that cannot be compared matches."""
    parts = [re.fullmatch(r"\s*(.*?)(\d+)\s*", text) for text in (serial, first, last)]
    if any(part is None for part in parts):
        return True
    (prefix, number), (low_prefix, low), (high_prefix, high) = (
        (part[1].casefold(), int(part[2])) for part in parts if part is not None
    )
    if low_prefix != high_prefix:
        return True
    return prefix == low_prefix and low <= number <= high
