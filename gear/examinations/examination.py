"""What was examined and found, checked against the class's checklist, measures and intervals."""

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from crewlog.errors import RuleBroken
from crewlog.files.documents import Document
from crewlog.files.photographs import Photograph
from crewlog.models import Record
from gear.catalogue.events import EXAMINATIONS, PASSING
from gear.errors import DueTooLate, IncompleteExamination
from gear.examinations.measure_words import past_words
from gear.examinations.measuring import when_new
from gear.fitness.defects import Cure, Defect, open_defects, uncured
from gear.fitness.history import Examined, Found, due_after
from gear.fitness.inspection_rules import InspectionRules
from gear.fitness.reasons import day_words
from gear.fitness.refresh import life_facts, load_evidence
from gear.fitness.rules import (
    DECLARATION_MONTHS,
    SET_BY_INSPECTOR,
    Due,
    add_months,
    verdict_allowed,
    verdict_from_answers,
)
from gear.models import GearItem

ANSWERS = (("good", "Good"), ("remark", "Remark"), ("fail", "Fail"))
AFTER_ALL = 2**62  # a place in the chain after every other


@dataclass(frozen=True, slots=True)
class Answer:
    """One point's answer; a remark or fail says what was seen."""

    answer: str
    saw: str = ""


@dataclass(frozen=True, slots=True)
class Examination:
    """What was looked at on a day: answers by point, measures by name in their stored unit, findings in words.

    `files` are photographs by point, and under "" the one of the whole finding, or the declaration's own paper.
    `markings` are answers to changes of fact that wait, by the change's key: whether the marking agrees, and what it
    reads where it does not. `cures` answer the defects on record, by the point each was found at.
    """

    kind: str
    on: dt.date
    answers: Mapping[str, Answer] = field(default_factory=dict)
    measures: Mapping[str, float] = field(default_factory=dict)
    findings: str = ""
    declaration_dated_on: dt.date | None = None
    files: Mapping[str, Photograph | Document] = field(default_factory=dict)
    markings: Mapping[int, Answer] = field(default_factory=dict)
    cures: Mapping[str, Cure] = field(default_factory=dict)

    @property
    def marking_is_legible(self) -> bool:
        """Whether tag and rating could be read; a failed marking point says they could not."""
        marking = self.answers.get("marking")
        return marking is None or marking.answer != "fail"

    def found_in_words(self, item: GearItem) -> str:
        """The findings as written, else what was seen at each point; then each measure past its limit."""
        seen = (a.saw.strip().rstrip(".") for a in self.answers.values() if a.saw)
        written = self.findings.strip() or "; ".join(seen)
        past = [words for words in self.past_limits(item) if words not in written]
        return "; ".join([*([written.rstrip(".")] if written else []), *past]) if past else written

    def past_limits(self, item: GearItem) -> Iterator[str]:
        """Each measure past its limit, with the figure and the limit."""
        for measure in item.declared.measures:
            value, new = self.measures.get(measure.name), when_new(item, measure)
            if value is not None and not measure.passes(value, new):
                yield " ".join(past_words(measure, value, new, item.company.unit_system).split())  # plain spaces

    def best_verdict(self, item: GearItem) -> str:
        """The mildest verdict that answers and measures allow."""
        passes = not any(self.past_limits(item))
        return verdict_from_answers((a.answer for a in self.answers.values()), measures_pass=passes)

    def check(self, item: GearItem, verdict: str) -> None:
        """Raise RuleBroken where the examination is incomplete or the verdict milder than what was found."""
        if self.kind == "declaration":
            self._check_declaration(item, verdict)
            return
        self._check_known(item)
        if verdict == "not_examined":
            self._check_not_milder(item, verdict)
            if not self.findings.strip():
                raise IncompleteExamination("Say why it was not examined.", field="findings")
            return
        if self.kind in EXAMINATIONS and verdict in PASSING:  # what fails at one point is put aside there and then
            self._check_complete(item)
        for code, answer in self.answers.items():
            if answer.answer != "good" and not answer.saw.strip():
                raise IncompleteExamination("Say what you saw.", code="finding-without-words", field=f"saw_{code}")
        self._check_not_milder(item, verdict)

    def _check_not_milder(self, item: GearItem, verdict: str) -> None:
        if not verdict_allowed(verdict, best=self.best_verdict(item)):
            raise RuleBroken(
                "The verdict does not fit the findings: a fail or a measure past its limit means out of use; "
                "a remark needs a date for the repair.",
                code="verdict-too-mild",
                field="verdict",
            )

    def _check_declaration(self, item: GearItem, verdict: str) -> None:
        if verdict != "fit" or self.declaration_dated_on is None:
            raise RuleBroken("A declaration has a date and says fit.", code="declaration-wrong", field="verdict")
        if not item.is_unused:
            raise RuleBroken(
                "A declaration replaces an examination only while the item is unused. Have it examined.",
                code="declaration-for-used",
                field="kind",
            )
        last = add_months(self.declaration_dated_on, DECLARATION_MONTHS)
        if last < self.on:
            raise RuleBroken(
                f"The declaration was over {DECLARATION_MONTHS} months old after {day_words(last)}. Have it examined.",
                code="declaration-too-old",
                field="declaration_dated_on",
            )

    def _check_known(self, item: GearItem) -> None:
        points = {point.code for point in item.declared.checklist.points}
        names = {measure.name for measure in item.declared.measures}
        unknown = (set(self.answers) - points) | (set(self.measures) - names)
        wrong = {a.answer for a in self.answers.values()} - {code for code, _ in ANSWERS}
        if unknown or wrong:
            raise RuleBroken(f"Not on the checklist: {', '.join(sorted(unknown | wrong))}.", code="not-on-checklist")

    def _check_complete(self, item: GearItem) -> None:
        for point in item.declared.checklist.points:
            if point.code not in self.answers:
                raise IncompleteExamination("Choose one.", field=f"answer_{point.code}")
        if self.kind == "thorough":
            for measure in item.declared.measures:
                if measure.has_limit and measure.name not in self.measures:
                    raise IncompleteExamination("Measure it.", field=f"measure_{measure.name}")

    def check_cures(self, item: GearItem, verdict: str, defects: Sequence[Defect]) -> None:
        """Raise RuleBroken where it passes an item with a defect on record and does not say what became of it."""
        if self.kind not in EXAMINATIONS or verdict not in PASSING:
            return
        for defect in uncured(defects, self.found_again(item), self.cures):
            raise IncompleteExamination(
                "Say what was mended and by whom, or which test shows no defect.",
                code="defect-without-cure",
                field=f"cure_{defect.key}",
            )

    def found_again(self, item: GearItem) -> Iterator[str]:
        """Points and measures at which this examination itself finds something."""
        yield from (code for code, answer in self.answers.items() if answer.answer != "good")
        for measure in item.declared.measures:
            value = self.measures.get(measure.name)
            if value is not None and not measure.passes(value, when_new(item, measure)):
                yield measure.name

    def cures_as_rows(self, defects: Sequence[Defect]) -> list[dict[str, Any]]:
        """Cures with the words of the defects they answer."""
        return [
            {"point": defect.key, "defect": defect.words, **asdict(self.cures[defect.key])}
            for defect in defects
            if defect.key in self.cures
        ]

    def answers_as_rows(self, item: GearItem) -> list[dict[str, Any]]:
        """Answers with the words they were given to, in the order of the checklist."""
        return [
            {
                "point": point.code,
                "words": point.words,
                "answer": self.answers[point.code].answer,
                "saw": self.answers[point.code].saw,
            }
            for point in item.declared.checklist.points
            if point.code in self.answers
        ]

    def measures_as_rows(self, item: GearItem) -> list[dict[str, Any]]:
        """Measures with the limits that held on the day and whether each passed."""
        rows = []
        for measure in item.declared.measures:
            if measure.name not in self.measures:
                continue
            value, new = float(self.measures[measure.name]), when_new(item, measure)
            rows.append(
                {
                    "measure": measure.name,
                    "label": measure.label,
                    "value": value,
                    "least": measure.min_value(new),
                    "most": measure.max_value,
                    "passes": measure.passes(value, new),
                    "source": measure.source,
                }
            )
        return rows


@dataclass(frozen=True, slots=True)
class Known:
    """What stands recorded about one item and the intervals in force, for who reads many items at once."""

    examined: Sequence[Examined]
    book: InspectionRules
    found: Sequence[Found] = ()


def known_of(item: GearItem) -> Known:
    """The same for one item. Queries."""
    evidence = load_evidence([item])[item.pk]
    return Known(evidence.examined, InspectionRules.of(item.company), evidence.found)


def origin_of(record: Record) -> Record:
    """The first record that a correction goes back to. A query for each step."""
    while record.corrects is not None:
        record = record.corrects
    return record


def defects_of(item: GearItem, *, corrects: Record | None = None, known: Known | None = None) -> tuple[Defect, ...]:
    """Defects on record of an item that no later examination answered. Queries unless `known` is given.

    `corrects` is an inspection that counts no more: those that were on record when it was signed are open again.
    """
    if known is None:
        if corrects is None and item.quarantined_on is None and item.remark_due_on is None:
            return ()
        known = known_of(item)
    place = origin_of(corrects).sequence if corrects is not None else AFTER_ALL
    standing: list[Examined | Found] = [*known.examined, *known.found]
    return open_defects([each for each in standing if each.sequence < place])


def latest_due(
    item: GearItem,
    kind: str,
    on: dt.date,
    *,
    declaration_dated_on: dt.date | None = None,
    corrects: Record | None = None,
    known: Known | None = None,
) -> Due | None:
    """The latest next due date the rules allow after passing an inspection of this kind on a day.

    Queries unless `known` is given.
    """
    known = known or known_of(item)
    evidence = known.examined
    if corrects is not None:
        place = origin_of(corrects).sequence
        evidence = [e for e in evidence if e.sequence != place]
    signed = Examined(AFTER_ALL, on, kind, "fit", declaration_dated_on=declaration_dated_on)
    return due_after([*evidence, signed], life_facts(item, known.book))


def set_due(
    item: GearItem,
    examination: Examination,
    verdict: str,
    wanted: dt.date | None,
    *,
    corrects: Record | None,
    known: Known | None = None,
) -> Due | None:
    """The next due date an inspection sets: shorter than the rules always, longer never.

    Queries unless `known` is given. Raises DueTooLate, and RuleBroken where no rule and no inspector sets an interval.
    """
    if verdict not in PASSING or (examination.kind == "pre_use" and wanted is None):
        return None
    latest = latest_due(
        item,
        examination.kind,
        examination.on,
        declaration_dated_on=examination.declaration_dated_on,
        corrects=corrects,
        known=known,
    )
    if wanted is None:
        if latest is None and examination.kind in ("thorough", "declaration"):
            raise RuleBroken(
                "No inspection interval covers its uses. Set the next due date, or ask the owner to switch one on.",
                code="no-interval",
                field="next_due_on",
            )
        return latest
    if wanted < examination.on:
        raise RuleBroken(
            "The next due date cannot come before the examination.", code="due-too-early", field="next_due_on"
        )
    if latest is not None and wanted > latest.on:
        raise DueTooLate(
            f"{day_words(latest.on)} at the latest ({latest.basis}). An earlier date is always allowed.",
            field="next_due_on",
        )
    return latest if latest is not None and wanted == latest.on else Due(wanted, SET_BY_INSPECTOR)
