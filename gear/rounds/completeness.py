"""Whether an item of a round is answered in full, and what is still missing, by name. Lists, the steps of the item's
page, the page before the signature and a refused signature all ask this one function.
"""

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from gear.catalogue.wear import WearMeasure
from gear.failures.finding import fails_in, value_of
from gear.models import GearItem, RoundDraftItem
from gear.models.failure import VERDICT
from gear.models.round import NOT_PRESENTED

NOT_LOOKED_AT = ("not_examined", NOT_PRESENTED)
MOST_NAMED = 4


@dataclass(frozen=True, slots=True)
class Completeness:
    """Points and measures of one item: how many are asked and answered, and what is missing in the reader's words."""

    asked: int
    answered: int
    to_answer: tuple[str, ...] = ()
    to_measure: tuple[str, ...] = ()
    to_say: tuple[str, ...] = ()
    fails: bool = False
    is_begun: bool = True

    @property
    def is_complete(self) -> bool:
        return self.is_begun and not (self.to_answer or self.to_measure or self.to_say)

    @property
    def count(self) -> str:
        return f"{self.answered} of {self.asked}"

    @property
    def missing(self) -> str:
        """What is missing: "sheave wear and side play still to measure"; empty when nothing is."""
        parts = [
            f"{listed(names)} still to {do}"
            for names, do in ((self.to_answer, "answer"), (self.to_measure, "measure"), (self.to_say, "say"))
            if names
        ]
        return "; ".join(parts)

    @property
    def words(self) -> str:
        """18 of 21: sheave wear, groove width and side play still to measure."""
        return f"{self.count}: {self.missing}." if self.missing else f"{self.count}."


def listed(names: Sequence[str]) -> str:
    """a, b and c, each up to its own first comma; of many the first few and how many more."""
    short = [name.partition(",")[0] for name in names]
    shown = [name if name[:2].isupper() else f"{name[:1].lower()}{name[1:]}" for name in short]
    if len(shown) > MOST_NAMED + 1:
        return f"{', '.join(shown[:MOST_NAMED])} and {len(shown) - MOST_NAMED} more"
    return f"{', '.join(shown[:-1])} and {shown[-1]}" if len(shown) > 1 else shown[0]


def measures_asked(item: GearItem, kind: str) -> tuple[WearMeasure, ...]:
    """The measures an examination of a kind needs: those with a limit, of a thorough one."""
    return tuple(m for m in item.declared.measures if m.has_limit) if kind == "thorough" else ()


def completeness_of(row: RoundDraftItem, values: Mapping[str, str]) -> Completeness:
    """How far one item of a round is, from the text of its answers. No queries where row and item were fetched."""
    item, measures = row.item, measures_asked(row.item, row.draft.kind)
    points = item.declared.checklist.points
    asked = len(points) + len(measures)
    if row.signed_in_id is not None or row.failed_by_id is not None:
        return Completeness(asked, asked)
    fails = list(fails_in(item, values))
    if values.get("verdict") in NOT_LOOKED_AT and not fails:
        return Completeness(asked, 0)
    open_points = tuple(p.words for p in points if not values.get(f"answer_{p.code}"))
    open_measures = tuple(m.label for m in measures if value_of(item, m, values) is None)
    to_say = tuple(
        still_to_write(item, values, is_alone=any(fail.point == VERDICT for fail in fails), fails=bool(fails))
    )
    return Completeness(
        asked=asked,
        answered=asked - len(open_points) - len(open_measures),
        # What fails at one point is put aside there and then: the rest need not be looked at.
        to_answer=() if fails else open_points,
        to_measure=() if fails else open_measures,
        to_say=to_say,
        fails=bool(fails),
        is_begun=is_begun(values),
    )


def still_to_write(item: GearItem, values: Mapping[str, str], *, is_alone: bool, fails: bool) -> Iterator[str]:
    """What has to be written besides the answers: what was seen, the day of a remark, what becomes of a retired one."""
    for point in item.declared.checklist.points:
        answered = values.get(f"answer_{point.code}")
        if answered in ("remark", "fail") and not values.get(f"saw_{point.code}", "").strip():
            yield f"what you saw at “{point.words}”"
    if is_alone and not found_in_words(item, values):
        yield "what fails"
    given = {value for name, value in values.items() if name.startswith("answer_")}
    if not fails and (values.get("verdict") == "remark" or "remark" in given) and not is_day(values, "remark_due_on"):
        yield "by when the remark is mended"
    if values.get("verdict") == "retire" and not values.get("disposal"):
        yield "what becomes of it"


def found_in_words(item: GearItem, values: Mapping[str, str]) -> bool:
    """Whether the findings are written, or what was seen at a point that is answered."""
    answered = [p.code for p in item.declared.checklist.points if values.get(f"answer_{p.code}")]
    return any(values.get(name, "").strip() for name in ("findings", *(f"saw_{code}" for code in answered)))


def is_day(values: Mapping[str, str], name: str) -> bool:
    try:
        dt.date.fromisoformat(values.get(name, "").strip())
    except ValueError:
        return False
    return True


def is_begun(values: Mapping[str, str]) -> bool:
    """Whether anything was answered: a point, a measure or a verdict."""
    return any(value.strip() for name, value in values.items() if is_answer(name))


def is_answer(name: str) -> bool:
    return name == "verdict" or (name.startswith(("answer_", "measure_")) and not name.endswith("-unit"))


def missing_words(rows: Iterable[tuple[str, Completeness]]) -> str:
    """Why items of a round cannot be signed yet, for the first few: "R-01: 6 of 7: diameter still to measure." """
    said = [f"{tag}: {each.words}" for tag, each in rows if each.is_begun and not each.is_complete]
    more = len(said) - MOST_NAMED
    return " ".join(said[:MOST_NAMED]) + (f" And {more} more." if more > 0 else "")
