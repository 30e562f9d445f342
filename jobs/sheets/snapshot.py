"""What an issued sheet rests on, as JSON: inputs, results, the state of each item, and who by opaque id."""

import dataclasses
import hashlib
from collections.abc import Collection
from typing import cast

from crewlog.evidence import canonical_json, to_plain
from gear.fitness.facts import item_facts, item_fitness
from gear.models import GearItem
from jobs.models import Anchor
from jobs.models.sheet import HANGS_AS
from jobs.models.snapshot_json import AnchorJson, FigureJson, ItemJson, LimitsJson, PositionJson, SnapshotJson, UseJson
from jobs.plans.key_figures import key_figures
from jobs.plans.presentation import TO_WORK_BY, KeyFigure, chosen
from jobs.plans.request_json import request_json, results_json
from jobs.readings.limits import limits_as_json, limits_of
from jobs.sheets.check import PositionRow, SheetCheck
from jobs.wording.unit_formatter import UnitFormatter

SNAPSHOT_FORMAT = 1


def take_snapshot(check: SheetCheck, *, looked_at: Collection[str]) -> str:
    """Canonical JSON of everything the sheet was computed and checked from. Names stay out: people stand by id.

    `looked_at` are the answers for an emergency that were looked at again at issue.
    """
    sheet, plan_data, outcome = check.sheet, check.plan_data, check.outcome
    job = plan_data.job
    snapshot: SnapshotJson = {
        "format": SNAPSHOT_FORMAT,
        "sheet": {
            "number": sheet.number,
            "revision": sheet.revision,
            "day": to_plain(sheet.day),
            "starts_at": to_plain(sheet.starts_at),
            "ends_at": to_plain(sheet.ends_at),
        },
        "job": {
            "reference": job.reference,
            "site": job.site_name,
            "first_day": to_plain(job.first_day),
            "last_day": to_plain(job.last_day),
        },
        "lead": to_plain(job.lead_id),
        "gear_fit_until": to_plain(check.day),
        "mechanics_version": outcome.mechanics_version,
        "request": request_json(outcome.plan_input) if outcome.plan_input is not None else None,
        "results": results_json(outcome.result),
        "corner": outcome.envelope.governing.changes if outcome.envelope else {},
        "as_written": request_json(outcome.envelope.nominal.plan_input) if outcome.envelope else None,
        "band_n": band(check),
        "figures": printed_figures(check),
        "reading_limits": reading_limits(check),
        "cautions": [dataclasses.asdict(f) for f in check.cautions],
        "load_path": [position_state(row, check) for row in check.positions],
        "duties": [
            {"duty": h.duty.value, "person": to_plain(h.person), "supervisor": to_plain(h.supervisor)}
            for h in check.holders
        ],
        "hazards": [
            {"kind": h.kind, "distance_m": h.distance_m, "bearing_deg": h.bearing_deg, "control": h.control}
            for h in plan_data.hazards
        ],
        "changes": [dataclasses.asdict(c) for c in check.changes],
        "looked_at_again": sorted(looked_at),
    }
    return canonical_json(snapshot)


def band(check: SheetCheck) -> dict[str, float]:
    envelope = check.outcome.envelope
    if envelope is None:
        return {}
    return {"lowest": envelope.lowest_tension_n, "highest": envelope.highest_tension_n}


def reading_limits(check: SheetCheck) -> LimitsJson:
    """What a load cell may show, by the place it reads in: what readings of the day are set against."""
    result, envelope = check.outcome.result, check.outcome.envelope
    return limits_as_json(limits_of(result, envelope)) if result is not None and envelope is not None else {}


def printed_figures(check: SheetCheck) -> list[FigureJson]:
    """The five figures of the paper's first page, in the words and units they are printed in."""
    write = UnitFormatter(check.plan_data.job.company.unit_system)
    return [printed_figure(each, write) for each in chosen(key_figures(check.plan_data, check.outcome), TO_WORK_BY)]


def printed_figure(figure: KeyFigure, write: UnitFormatter) -> FigureJson:
    printed, note = write.printed(figure.value), write.text(figure.note)
    return {"label": figure.label, "number": printed.number, "unit": printed.unit, "note": note, "stop": figure.stop}


def position_state(row: PositionRow, check: SheetCheck) -> PositionJson:
    state: PositionJson = {"role": row.role, "load_n": row.load_n}
    if row.use is not None:
        state["use"] = cast(UseJson, dataclasses.asdict(row.use))
    assignment = row.assignment
    if assignment is None:
        return state
    if assignment.item is not None:
        state["item"] = item_state(assignment.item, check)
        state["as"] = {name: getattr(assignment, name) for name in HANGS_AS}
    elif assignment.anchor is not None:
        state["anchor"] = anchor_state(assignment.anchor)
    else:
        state["not_used"] = assignment.not_used
    state["alternates"] = [a.item.tag for a in row.alternates if a.item is not None]
    return state


def item_state(item: GearItem, check: SheetCheck) -> ItemJson:
    """An item on the day of issue: what it is, what fitness was judged from, and that it was fit."""
    return {
        "id": item.pk,
        "tag": item.tag,
        "class": item.gear_class,
        "description": item.description,
        "serial": item.serial,
        "facts": dataclasses.asdict(item_facts(item, ())),
        "last_examined_on": to_plain(item.last_examined_on),
        "reasons": [reason.code for reason in item_fitness(item, check.day)],
    }


def anchor_state(anchor: Anchor) -> AnchorJson:
    return {
        "name": anchor.name,
        "kind": anchor.kind,
        "estimate_n": anchor.estimate_n,
        "estimated_by": to_plain(anchor.estimated_by_id),
        "estimated_at": to_plain(anchor.estimated_at),
        "basis": anchor.basis,
    }


def snapshot_sha256(snapshot: str) -> str:
    return hashlib.sha256(snapshot.encode()).hexdigest()
