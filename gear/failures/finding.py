"""What fails on an item as it is answered in a round: points, measures past their limit, the verdict alone."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from crewlog.quantities.number_style import COMMA
from crewlog.quantities.parse import QuantityTextError, is_bare_number
from crewlog.quantities.typed import Limits, read_quantity
from gear.catalogue.wear import WearMeasure
from gear.examinations.measure_words import KIND_OF_UNIT, past_words
from gear.examinations.measuring import when_new
from gear.models import GearItem, RoundDraftAnswer, RoundDraftItem
from gear.models.failure import VERDICT

FAILING_VERDICTS = {"out_of_use": "Out of use by the examiner", "retire": "To be retired"}


@dataclass(frozen=True, slots=True)
class Fail:
    """One thing that fails: where, in which words, what was seen, and the box whose answer says so."""

    sort: str
    point: str
    words: str
    saw: str
    box: str


def fails_of(row: RoundDraftItem) -> list[Fail]:
    """Everything that fails as the item is answered. A Fail of one device counts against a Good of another until
    somebody answers again. Queries unless the answers were fetched with the row.
    """
    answers = list(row.answers.all())
    values = {answer.name: answer.value for answer in answers}
    found = {fail.point: fail for fail in fails_in(row.item, others_of(answers, values))}
    found |= {fail.point: fail for fail in fails_in(row.item, values)}
    return list(found.values())


def others_of(answers: list[RoundDraftAnswer], values: Mapping[str, str]) -> dict[str, str]:
    """The answers as the other device gave them, with the words that stand beside them now."""
    others = {answer.name: answer.other_value for answer in answers if answer.other_value}
    return {**{name: value for name, value in values.items() if name.startswith("saw_")}, **others}


def fails_in(item: GearItem, values: Mapping[str, str]) -> Iterator[Fail]:
    """What fails in some typed answers, in the order of the checklist; what cannot be read fails nothing."""
    failed = False
    for point in item.declared.checklist.points:
        if values.get(f"answer_{point.code}") == "fail":
            failed = True
            saw = values.get(f"saw_{point.code}", "")
            yield Fail("point", point.code, point.words, saw, f"answer_{point.code}")
    for measure in item.declared.measures:
        value, new = value_of(item, measure, values), when_new(item, measure)
        if value is not None and not measure.passes(value, new):
            failed = True
            words = past_words(measure, value, new, item.company.unit_system)
            yield Fail("measure", measure.name, words, "", f"measure_{measure.name}")
    chosen = values.get("verdict", "")
    if chosen in FAILING_VERDICTS and not failed:
        yield Fail("verdict", VERDICT, FAILING_VERDICTS[chosen], values.get("findings", ""), "verdict")


def value_of(item: GearItem, measure: WearMeasure, values: Mapping[str, str]) -> float | None:
    """A measure as typed, in its stored unit, by the company's decimal mark; None where empty or unreadable."""
    typed = values.get(f"measure_{measure.name}", "").strip()
    if not typed:
        return None
    unit = values.get(f"measure_{measure.name}-unit", "")
    units, mark = item.company.unit_system, item.company.decimal_mark
    if unit and is_bare_number(typed, comma=mark == COMMA):  # in the unit that stood beside the box
        typed = f"{typed} {unit}"
    try:
        return read_quantity(typed, KIND_OF_UNIT[measure.unit], units, limits=Limits(min_value=0.0), mark=mark).value
    except QuantityTextError:
        return None
