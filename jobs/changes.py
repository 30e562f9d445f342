"""Inputs changed after a refusal: each is listed, and a change for the better has to say where it comes from."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Literal

from django.db.models import Model

from jobs.bundle import Bundle
from jobs.finding import Finding
from jobs.mechanics.roles import role_title
from jobs.models import Sheet, SheetRefusal
from jobs.reader import Reader

Better = Literal["lower", "higher", "other"]

# What a change for the better looks like. "other": any change of a measured thing asks for its source.
FAVOURABLE: dict[str, Better] = {
    "plan.gust_m_s": "lower",
    "plan.sound_wood_height_m": "higher",
    "plan.sheave_efficiency_ratio": "higher",
    "plan.second_efficiency_ratio": "higher",
    "plan.setback_m": "lower",
    "plan.slack_m": "lower",
    "plan.anchor_slope_deg": "other",
    "plan.frozen_wood": "other",
    "plan.side_target": "other",
    "plan.shock_credible": "other",
    "plan.restraint_mass_kg": "lower",
    "plan.restraint_slope_deg": "lower",
    "plan.restraint_slack_m": "lower",
    "stem.species": "other",
    "stem.green_density_kg_m3": "lower",
    "stem.lean_deg": "lower",
    "stem.lean_azimuth_deg": "other",
    "stem.tree_height_m": "lower",
    "stem.bark_thickness_m": "other",
    "stem.ground_fall_deg": "lower",
    "stem.crown": "other",
    "stem.hinge_soundness": "other",
    "stem.attachment_soundness": "other",
    "stem.dead_or_dying": "other",
    "stem.hung_up": "other",
    "stem.union_or_crack": "other",
    "stem.split_prone": "other",
    "sections": "other",
    "crown parts": "other",
}
ANCHOR_BETTER: Better = "higher"

# The answer that says how a figure was obtained; a new one is a new source.
SOURCE_FIELDS = {
    "plan.gust_m_s": "plan.gust_source",
    "plan.sheave_efficiency_ratio": "plan.sheave_efficiency_origin",
    "plan.anchor_distance_m": "plan.anchor_distance_method",
    "plan.attach_height_m": "plan.attach_method",
    "stem.lean_deg": "stem.lean_method",
    "stem.tree_height_m": "stem.height_method",
}
LEFT_OUT = {"id", "stem", "job", "measured_by", "measured_at", "felled_on", "position", "label"}


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


def watched_inputs(bundle: Bundle) -> dict[str, Any]:
    """Everything a refusal can be cured by, as JSON values by path."""
    watched: dict[str, Any] = {}
    for prefix, row in (("stem", bundle.stem), ("plan", bundle.plan)):
        for field in row._meta.concrete_fields:
            if field.name not in LEFT_OUT:
                watched[f"{prefix}.{field.name}"] = getattr(row, field.attname)
    watched["sections"] = [[s.height_m, s.diameter_m] for s in bundle.sections]
    watched["crown parts"] = [
        [p.height_m, p.mass_kg, p.frontal_area_m2, p.forward_m, p.left_m] for p in bundle.crown_parts
    ]
    for place in bundle.places:
        watched[f"place.{place.place}"] = [place.distance_m, place.azimuth_deg, place.escape_route]
    for redirect in bundle.redirects:
        path = f"redirect.{redirect.line}.{redirect.number}"
        watched[path] = [redirect.distance_m, redirect.azimuth_deg, redirect.slope_deg, redirect.height_m]
    for role, assignment in bundle.in_place().items():
        if assignment.anchor is not None:
            watched[f"anchor.{role}"] = assignment.anchor.estimate_n
            watched[f"anchor basis.{role}"] = assignment.anchor.basis
        watched[f"gear.{role}"] = str(assignment.item or assignment.anchor or assignment.not_used)
    return watched


def changes_since_refusals(sheet: Sheet, bundle: Bundle, reader: Reader) -> tuple[Change, ...]:
    """Every input changed after each refusal of this sheet, or of an earlier revision of it. Two queries."""
    refusals = list(
        SheetRefusal.objects.filter(sheet__stem=sheet.stem, sheet__number=sheet.number)
        .select_related("record")
        .order_by("record__sequence")
    )
    if not refusals:
        return ()
    notes = {(note.path, note.value): note.source for note in sheet.source_notes.all()}
    states = [json.loads(refusal.inputs) for refusal in refusals] + [as_json(watched_inputs(bundle))]
    found: dict[tuple[str, str], Change] = {}
    for refusal, (before, after) in zip(refusals, pairwise(states), strict=True):
        for change in differences(refusal, before, after, notes, bundle, reader):
            found[(change.path, change.after)] = change
    current = states[-1]
    return tuple(
        c for c in found.values() if c.after == shown(c.path, current.get(c.path), reader) or not c.needs_source
    )


def as_json(values: Mapping[str, Any]) -> dict[str, Any]:
    """Values as they come back from the record, so that equal inputs compare equal."""
    loaded = json.loads(json.dumps(values))
    return dict(loaded)


def differences(
    refusal: SheetRefusal,
    before: Mapping[str, Any],
    after: Mapping[str, Any],
    notes: Mapping[tuple[str, str], str],
    bundle: Bundle,
    reader: Reader,
) -> Iterator[Change]:
    codes = ", ".join(json.loads(refusal.codes)[:3])
    for path in sorted({*before, *after}):
        old, new = before.get(path), after.get(path)
        if old == new or path in SOURCE_FIELDS.values() or path.startswith("anchor basis."):
            continue
        source_path = SOURCE_FIELDS.get(path, path.replace("anchor.", "anchor basis.", 1))
        old_source, new_source = before.get(source_path), after.get(source_path)
        renewed = source_path != path and old_source != new_source and bool(new_source)
        note = notes.get((path, value_key(new)), "")
        source = note or (f"{old_source or 'none'} → {new_source}" if renewed else "")
        yield Change(
            path=path,
            what=path_words(path, bundle),
            before=shown(path, old, reader),
            after=shown(path, new, reader),
            source=source,
            refusal=codes,
            refused_at=refusal.record.happened_at.isoformat(timespec="minutes"),
            needs_source=is_favourable(path, old, new) and not source,
        )


def value_key(value: Any) -> str:
    """A value as a source note names it: the note counts for that very value only."""
    return json.dumps(value)[:60]


def is_favourable(path: str, old: Any, new: Any) -> bool:
    better = ANCHOR_BETTER if path.startswith("anchor.") else FAVOURABLE.get(path)
    if better is None or old in (None, "", []):
        return False  # an answer given for the first time is no change of an answer
    if better == "other" or not isinstance(old, int | float) or not isinstance(new, int | float):
        return True
    return new < old if better == "lower" else new > old


def path_words(path: str, bundle: Bundle) -> str:
    prefix, _, name = path.partition(".")
    rows: dict[str, Model] = {"stem": bundle.stem, "plan": bundle.plan}
    if prefix in rows:
        return str(rows[prefix]._meta.get_field(name).verbose_name).capitalize()  # type: ignore[union-attr]
    if prefix in ("anchor", "gear"):
        return f"{role_title(name)}: {'estimated strength' if prefix == 'anchor' else 'what hangs there'}"
    return path.replace(".", " ").replace("_", " ").capitalize()


def shown(path: str, value: Any, reader: Reader) -> str:
    if value is None or value in ("", []):
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if path.startswith("anchor."):
        return reader.force_limit(value)
    if isinstance(value, int | float):
        return reader.fact(path.rsplit(".", 1)[-1], float(value))
    return str(value).replace("_", " ")


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
                text=f"{change.before} → {change.after} after the refusal for {change.refusal}.",
                cure="Say how the new figure was obtained.",
                field="sources",
                danger=2,
            )
