"""Inputs changed after a refusal: each is listed, and a change for the better has to say where it comes from."""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from crewlog.quantities.columns import Favourable
from jobs.models import Sheet, SheetRefusal, SourceNote
from jobs.models.values import Json
from jobs.plans.code_words import reasons_words
from jobs.plans.data import PlanData
from jobs.plans.labels import COLUMNS, path_words, shown
from jobs.plans.watched import Inputs, as_json, watched_inputs
from jobs.wording.finding import Finding
from jobs.wording.unit_formatter import UnitFormatter

# What a change for the better looks like; for the rest of a stem and its plan the columns say.
FAVOURABLE: dict[str, Favourable] = {
    **{path: column.favourable for path, column in COLUMNS.items() if column.favourable},
    "stem.species": "source",
    "sections": "source",
    "crown parts": "source",
}
# The same for what there is one of for each position, hazard or item.
FAVOURABLE_GROUPS: dict[str, Favourable] = {"anchor": "higher", "hazard": "source", "rating": "source"}

# The answer that says how a figure was obtained; a new one is a new source.
SOURCE_FIELDS = {path: f"{path.partition('.')[0]}.{column.method}" for path, column in COLUMNS.items() if column.method}
METHODS = {method: figure for figure, method in SOURCE_FIELDS.items()}
CHANGED_AGAIN = "not given; changed again before issue"
KEY_LENGTH = 60  # of SourceNote.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One input that differs from what was refused."""

    path: str
    what: str
    before: str
    after: str
    source: str
    refusal: str
    refused_at: str
    needs_source: bool


@dataclass(frozen=True, slots=True)
class Refused:
    """The inputs of one refused attempt. `last_answers` also holds what was answered before and cleared since:
    a figure that is emptied and filled anew counts against the answer it had.
    """

    codes: str
    at: str
    inputs: Inputs
    last_answers: Inputs


def refused_states(refusals: Sequence[SheetRefusal]) -> list[Refused]:
    states: list[Refused] = []
    answers: dict[str, Json] = {}
    for refusal in refusals:
        inputs = json.loads(refusal.inputs)
        answers = answers | {path: value for path, value in inputs.items() if is_answered(value)}
        codes = ", ".join(json.loads(refusal.codes)[:3])
        states.append(Refused(codes, refusal.record.happened_at.isoformat(timespec="minutes"), inputs, answers))
    return states


def changes_since_refusals(sheet: Sheet, plan_data: PlanData, write: UnitFormatter) -> tuple[Change, ...]:
    """Every input changed after a refusal of this stem's sheet in any of its revisions. Two queries.

    A figure that is better now than at any refusal needs a source, whatever it was in between.
    """
    refusals = SheetRefusal.objects.filter(sheet__stem=sheet.stem).select_related("record").order_by("record__sequence")
    states = refused_states(list(refusals))
    if not states:
        return ()
    said = SourceNote.objects.filter(sheet__stem=sheet.stem).order_by("pk")
    notes = {(note.path, note.value): note.source for note in said}
    current = as_json(watched_inputs(plan_data))
    found: dict[tuple[str, str], Change] = {}
    for state, after in zip(states, [*(s.inputs for s in states[1:]), current], strict=True):
        for path in changed_paths(state, after):
            change = change_of(path, state, after, current=current, notes=notes, plan_data=plan_data, write=write)
            found[path, value_key(after.get(path))] = change
    for state in reversed(states):
        for path in sorted({*state.last_answers, *current}):
            change = change_of(path, state, current, current=current, notes=notes, plan_data=plan_data, write=write)
            if change.needs_source:
                found[path, value_key(current.get(path))] = change
    return tuple(found.values())


def changed_paths(state: Refused, after: Inputs) -> Iterator[str]:
    """Inputs that differ from one state to the next; a method is named with its figure where both changed."""
    before = state.inputs

    def differs(path: str) -> bool:
        return bool(before.get(path) != after.get(path))

    for path in sorted({*before, *after}):
        figure = METHODS.get(path) or path.replace("anchor basis.", "anchor.", 1)
        if not differs(path) or (figure != path and differs(figure)):
            continue
        if path.startswith("rating.") and (path not in before or path not in after):
            continue  # another item hangs there; that is listed as such
        yield path


def change_of(
    path: str,
    state: Refused,
    after: Inputs,
    *,
    current: Inputs,
    notes: Mapping[tuple[str, str], str],
    plan_data: PlanData,
    write: UnitFormatter,
) -> Change:
    """One input from a refused state to a later one."""
    old, new = state.last_answers.get(path), after.get(path)
    stays = new == current.get(path)
    source = source_of(path, state, current if stays else after, notes)
    is_better = is_favourable(path, old, new)
    return Change(
        path=path,
        what=path_words(path, plan_data),
        before=shown(path, old, write),
        after=shown(path, new, write),
        source=source or (CHANGED_AGAIN if is_better and not stays else ""),
        refusal=state.codes,
        refused_at=state.at,
        needs_source=is_better and stays and not source,
    )


def source_of(path: str, state: Refused, after: Inputs, notes: Mapping[tuple[str, str], str]) -> str:
    """Where a figure comes from now: what was noted for that very value, or a new way of obtaining it."""
    noted = notes.get((path, value_key(after.get(path))), "")
    method = SOURCE_FIELDS.get(path, path.replace("anchor.", "anchor basis.", 1) if path.startswith("anchor.") else "")
    old, new = state.last_answers.get(method), after.get(method)
    if noted or not method or old == new or not new:
        return noted
    return f"{old or 'none'} → {new}"


def value_key(value: Json) -> str:
    """A value as a source note names it: the note counts for that very value only."""
    text = json.dumps(value, sort_keys=True)
    return text if len(text) <= KEY_LENGTH else hashlib.sha256(text.encode()).hexdigest()[:KEY_LENGTH]


def is_answered(value: Json) -> bool:
    return value not in (None, "", [])


def is_favourable(path: str, old: Json, new: Json) -> bool:
    group = path.partition(".")[0]
    better = FAVOURABLE.get(path) or FAVOURABLE_GROUPS.get(group)
    if better is None or old == new or not is_answered(old):
        return False  # an answer given for the first time is no change of an answer
    if not is_answered(new):
        return group == "hazard"  # what is cleared is asked for anew; a hazard that is struck out is gone
    if better == "source" or not isinstance(old, int | float) or not isinstance(new, int | float):
        return True
    return new < old if better == "lower" else new > old


def source_findings(changes: tuple[Change, ...]) -> Iterator[Finding]:
    """change-without-source: an input got better after a refusal and nobody said why."""
    for change in changes:
        if change.needs_source:
            yield Finding(
                code="change-without-source",
                subject=change.path,
                severity="refusal",
                area="sheet",
                title=f"{change.what}: where does the new figure come from?",
                text=f"Changed from {change.before} to {change.after}, because it was refused: "
                f"{reasons_words(change.refusal, change.path)}.",
                cure="Say how the new figure was obtained.",
                field="sources",
                danger=2,
            )
