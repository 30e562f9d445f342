"""The services of the store."""

import datetime as dt

from crewlog.files.documents import Document
from crewlog.files.photographs import Photograph
from crewlog.models import Role
from crewlog.web.access import COMPANY_PEOPLE, INSPECTORS, PLANNERS
from gear.alterations.services import divide_item, make_new_end, shorten_item
from gear.events.retire import retire_item
from gear.events.services import record_event, take_out_of_use
from gear.examinations.services import Verdict, correct_inspection, record_inspection
from gear.fact_changes.services import Grounds, answer_change, change_fact, set_check, take_back
from gear.failures.services import Telling, hold_failures, take_back_failure, tell_employer
from gear.files.services import hold_upload, store_document, store_file, store_photograph
from gear.fitness.entries import ALTERERS
from gear.lists.rows_in import ListFile, import_list
from gear.lists.services import check_upload, choose_columns, import_upload, keep_upload, plan_for, read_file_as
from gear.lists.source import open_source
from gear.loads.services import Load, record_loads
from gear.models import FactChange, LoadSource, PartChange, Recall
from gear.models.failure import FailureFound
from gear.recalls.services import record_recall, resolve_recall
from gear.register.bulk import add_items, new_item
from gear.register.mistakes import end_mistake
from gear.register.services import add_item, change_item, count_uses, start_use
from gear.reports.choice import ReportRequest
from gear.reports.services import issue_report
from gear.rounds.photographs import keep_photographs
from gear.rounds.services import Device, close_round, keep_answers, start_item_again, start_round
from gear.rounds.sign import record_failure, sign_round
from gear.schemes.limit_services import set_class_limit
from gear.schemes.services import OwnRule, add_own_rule, change_interval, switch_scheme
from gear.sets.services import correct_change, put_in, swap_part, take_out
from tests.factories.gear import good_examination
from tests.services.tables import Service

OWNER = (Role.OWNER,)
NOON = dt.datetime(2026, 1, 2, 12, tzinfo=dt.UTC)
PICTURE = Photograph(b"x", 1, 1, name="a.jpg")
LIST = b"Tag,Class\nB-01,Block\n"


def item(**more):
    return lambda w: {"item": w.item, **more}


def rope(**more):
    return lambda w: {"item": w.rope, "on": w.today, "description": "cut", **more}


def in_set(*names):
    return lambda w: (
        {"assembly": w.tackle, "on": w.today, "because": "worn"} | dict(zip(names, (w.item, w.rope), strict=False))
    )


def row(**more):
    return lambda w: {"row": w.row, **more}


def draft(**more):
    return lambda w: {"draft": w.draft, **more}


def upload(**more):
    return lambda w: {"upload": w.rows["upload"], **more}


def change(**more):
    return lambda w: {"change": FactChange(item=w.item, waits=True, asks="examination"), **more}


def examined(w):
    return {"examination": good_examination(w.item), "verdict": Verdict("fit")}


def of_list(w):
    source = open_source(LIST)
    return {"source": source, "plan": plan_for(w.company, source, {}), "file": ListFile("a.csv", "0" * 64)}


def report(w):
    inspection = w.rows["inspection"]
    return {"inspections": [inspection], "said": {inspection.pk: ReportRequest()}, "premises": "Store"}


SERVICES = (
    Service(set_check, OWNER, lambda w: {"check_by": "second_person"}, own=True),
    Service(change_fact, INSPECTORS, item(subject="length", values={}, grounds=Grounds("", "", ""))),
    Service(answer_change, ALTERERS, change(agrees=True)),
    Service(take_back, COMPANY_PEOPLE, change(because="wrong")),
    Service(hold_failures, INSPECTORS, lambda w: {"rows": [w.row]}),
    Service(take_back_failure, INSPECTORS, row(because="slip", looked_at_again=True)),
    Service(
        tell_employer,
        INSPECTORS,
        lambda w: {"failure": FailureFound(item=w.item, draft=w.draft), "telling": Telling(NOON, "in writing")},
    ),
    Service(shorten_item, ALTERERS, rope(length_after_m=20.0)),
    Service(make_new_end, ALTERERS, rope(terminations=["bowline"])),
    Service(divide_item, OWNER, rope(pieces={"R-99": 5.0})),
    Service(put_in, ALTERERS, in_set("part")),
    Service(take_out, ALTERERS, in_set("part")),
    Service(swap_part, ALTERERS, in_set("out", "in_")),
    Service(
        correct_change,
        ALTERERS,
        lambda w: {"change": PartChange(assembly=w.tackle, part=w.item), "on": w.today, "because": "wrong day"},
    ),
    Service(
        add_items,
        OWNER,
        lambda w: {"items": [new_item(w.company, tag="N-1", gear_class="block", description="Block")]},
    ),
    Service(
        set_class_limit,
        OWNER,
        lambda w: {"gear_class": "rope", "most_uses": 9, "peak_share_ratio": None},
        own=True,
    ),
    Service(
        record_event, COMPANY_PEOPLE, lambda w: item(kind="drop", happened_on=w.today, description="from the cage")(w)
    ),
    Service(take_out_of_use, ALTERERS, item(because="bent")),
    Service(store_photograph, COMPANY_PEOPLE, item(upload=PICTURE)),
    Service(store_document, COMPANY_PEOPLE, item(upload=Document(b"x", 1, name="a.pdf"))),
    Service(store_file, COMPANY_PEOPLE, item(upload=PICTURE)),
    Service(hold_upload, COMPANY_PEOPLE, lambda w: {"file": PICTURE}, own=True),
    Service(import_list, OWNER, of_list, own=True),
    Service(keep_upload, OWNER, lambda w: {"name": "a.csv", "data": LIST}, own=True),
    Service(read_file_as, OWNER, upload(said={})),
    Service(choose_columns, OWNER, upload(choices={})),
    Service(check_upload, OWNER, upload()),
    Service(import_upload, OWNER, upload(seal="")),
    Service(record_inspection, INSPECTORS, lambda w: item()(w) | examined(w)),
    Service(
        correct_inspection,
        INSPECTORS,
        lambda w: {"inspection": w.rows["inspection"], "because": "wrong box"} | examined(w),
    ),
    Service(
        record_loads,
        PLANNERS,
        lambda w: {"loads": [Load(item=w.item, source=LoadSource.NOT_USED)], "on": w.today, "reference": "0412"},
    ),
    Service(end_mistake, OWNER, item(because="entered twice")),
    Service(
        record_recall, ALTERERS, lambda w: {"maker": "Ferrow", "announced_on": w.today, "source": "letter"}, own=True
    ),
    Service(resolve_recall, INSPECTORS, item(recall=Recall(), because="not of that batch")),
    Service(add_item, OWNER, lambda w: {"tag": "N-1", "gear_class": "block", "description": "Block"}, own=True),
    Service(change_item, OWNER, item(notes="x")),
    Service(start_use, PLANNERS, lambda w: item(on=w.today)(w)),
    Service(count_uses, PLANNERS, lambda w: item(on=w.today, description="0412")(w)),
    Service(issue_report, INSPECTORS, report),
    Service(retire_item, OWNER, item(because="worn", disposal="destroyed")),
    Service(keep_photographs, INSPECTORS, row(brought={})),
    Service(start_round, INSPECTORS, lambda w: {"items": [w.item], "kind": "thorough", "title": "Van 1"}),
    Service(keep_answers, INSPECTORS, draft(device=Device("phone", NOON), answers={})),
    Service(start_item_again, INSPECTORS, row()),
    Service(close_round, INSPECTORS, draft()),
    Service(record_failure, INSPECTORS, row()),
    Service(sign_round, INSPECTORS, draft(shown="")),
    Service(switch_scheme, OWNER, lambda w: {"scheme": w.rows["scheme"], "is_active": False}),
    Service(change_interval, OWNER, lambda w: {"rule": w.rows["rule"], "months": 3}),
    Service(add_own_rule, OWNER, lambda w: {"rule": OwnRule("Ours", "measure", 6, "our own")}, own=True),
)
