"""Another company's rows named inside a form: every form that there is, every box that holds an id.

The pages are read as a browser reads them. In each box whose values are ids, another company's ids are put, one at a
time. Nothing may be written that names the other company's row.
"""

import re
import uuid
from html.parser import HTMLParser
from urllib.parse import urljoin

import pytest
from django.db import connection, transaction
from django.urls import resolve, reverse
from django.utils import timezone

from crewlog.evidence import Entry
from crewlog.evidence.chain import last_link, next_link
from crewlog.evidence.rows import columns
from gear.models import Recall
from gear.recalls.services import record_recall
from jobs.models import Assignment, EfficiencyMeasurement
from tests.factories.crewlog import CompanyFactory, CompetenceFactory, MembershipFactory, PersonFactory
from tests.factories.gear import ItemFactory
from tests.factories.jobs import AnchorFactory, JobFactory, SheetFactory, StemFactory
from tests.files import close_file
from tests.jobs.test_measured_efficiency import record
from tests.pages import html_of
from tests.web.test_access import ROWS, arguments, split_row

__all__ = ["arguments"]
pytestmark = pytest.mark.django_db
# Numbers no row of our own has: one of them in what is written is the other company's.
FIRST = 7_000_001
# What the other company measured: a plan that takes it holds the figure and no id.
RATIO = 0.812345
# Boxes that hold an id or a tag whatever the page offers in them.
ID_BOX = re.compile(
    r"(?:^|[_-])(item|items|part|whole|set|kit|assembly|parent|tag|anchor|person|people|lead|supervisor|inspector|cutter"
    r"|stem|job|sheet|gauge|load_cell|assessor|assessed_by|examiner|subject|duty|measurement|corrects|withdrawal"
    r"|recall|report|inspection|event|round|upload|held|hold|competence|reading|alternate|swap|holder|e|pick)(?:$|[_-])"
)
# Boxes of figures: a number in them is no id.
FIGURE = re.compile(
    r"_(m|n|mm|deg|ratio|kg|s|min|pa|months|years|uses|strength|factor|count)$"
    r"|^(measure_.*|parts|haulers|months|position|label|start|rank|residual|emergency_number|second_parts|seconds)$"
)
IS_ID = re.compile(r"\d{1,9}|[0-9a-f]{8}-[0-9a-f-]{27}|[0-9a-f]{32}")
# Posted by scripts or without a box that holds an id.
WITHOUT_FORM = {
    "round_answers", "theme", "plan_try", "class_limit_change", "scheme_change", "round_close", "round_sign",
}  # fmt: skip
# Buttons and forms of another state than the rows of this test are in: what they name stands in the address.
OF_ANOTHER_STATE = {
    "fill_from_store", "item_change", "item_told", "learning_end", "person_back", "plan_set", "report_new",
    "round_mistake", "sheet_open", "sheet_source", "sheet_withdraw",
}  # fmt: skip


class Forms(HTMLParser):
    """Forms of a page by the address they post to: boxes with the values they hold."""

    def __init__(self, page):
        super().__init__()
        self.page, self.found, self.here, self.select = page, {}, None, ""
        self.elsewhere = []  # buttons that send the form they stand in to another address

    def handle_starttag(self, tag, attributes):
        said = dict(attributes)
        if tag == "form":
            posts = (said.get("method") or "get").lower() == "post"
            address = urljoin(self.page, said.get("action") or self.page)
            self.here = self.found.setdefault(address, {}) if posts else None
        if self.here is None:
            return
        if tag == "select":
            self.select = said.get("name") or ""
            self.here.setdefault(self.select, [])
        elif tag == "option" and self.select:
            place = 0 if "selected" in said else len(self.here[self.select])
            self.here[self.select].insert(place, said.get("value") or "")
        elif said.get("formaction"):
            self.elsewhere.append((urljoin(self.page, said["formaction"]), said))
        elif tag in ("input", "textarea", "button") and said.get("name"):
            values = self.here.setdefault(said["name"], [])
            values.insert(0 if "checked" in said else len(values), filled(said))

    def handle_endtag(self, tag):
        if tag == "form":
            for address, said in self.elsewhere:
                own = {said["name"]: [said.get("value") or ""]} if said.get("name") else {}
                self.found[address] = {**self.here, **own}
            self.here, self.elsewhere = None, []
        elif tag == "select":
            self.select = ""


def filled(said):
    """What a person would type into an empty box."""
    kind = said.get("type") or "text"
    if said.get("value") or kind in ("file", "hidden", "checkbox", "radio", "submit"):
        return said.get("value") or ""
    if kind == "date":
        return timezone.now().date().isoformat()
    return "1" if said.get("inputmode") in ("numeric", "decimal") else "said in words"


@pytest.fixture
def foreign(db):
    """Ids and tags of another company's rows, none of which could be ours."""
    company = CompanyFactory(name="Another Firm")
    member = MembershipFactory(company=company, person__company=company)
    person = PersonFactory(company=company, name="Nell Foreign")
    items = {
        "item": ItemFactory(pk=FIRST, company=company, tag="ZZ-91"),
        "set": ItemFactory(pk=FIRST + 1, company=company, tag="ZZ-92", gear_class="tackle_set", parts_expected=2),
        "cell": ItemFactory(pk=FIRST + 2, company=company, tag="ZZ-93", gear_class="load_cell"),
    }
    job = JobFactory(pk=FIRST + 10, company=company, lead=member.person)
    stem = StemFactory(pk=FIRST + 11, job=job)
    sheet = SheetFactory(pk=FIRST + 12, stem=stem)
    anchor = AnchorFactory(pk=FIRST + 13, job=job)
    competence = CompetenceFactory(pk=FIRST + 14, person=person, skill="hauler")
    recall, measured = foreign_evidence(member, items["set"])
    rows = [*items.values(), job, stem, sheet, anchor, competence, recall, measured]
    ids = [str(row.pk) for row in rows] + [str(person.pk), str(member.person.pk)]
    return ids + [item.tag for item in items.values()]


def foreign_evidence(member, tackle):
    """A recall and a measured efficiency of another company."""
    recall = Recall(maker="Nobody's Forge", announced_on=member.company.today(), source="notice 8")
    measured = EfficiencyMeasurement(
        item=tackle,
        measured_on=member.company.today(),
        parts=5,
        rove="to_advantage",
        load_cell_words="Hired cell",
        pairs=[],
        readings_used=4,
        advantage=4.1,
        sheave_efficiency=RATIO,
        sheave_efficiency_low=RATIO,
        sheave_efficiency_high=RATIO,
        log_sd=0.0,
        high_is_capped=False,
        confidence=0.95,
        mechanics_version="1",
    )
    for place, row in enumerate((recall, measured), start=20):
        link = next_link(
            last_link(member.company), member.company, row.record_kind, Entry(actor=None), body=columns(row)
        )
        link.pk = FIRST + place
        link.save(force_insert=True)
        row.record = link
        row.save(force_insert=True)
    return recall, measured


def names_foreign(params, foreign):
    """Whether what is written names one of the other company's rows by its id, or holds its figure."""
    ids: set[object] = {RATIO, *(int(each) for each in foreign if each.isdigit())}
    ids |= {uuid.UUID(each).hex for each in foreign if IS_ID.fullmatch(each) and "-" in each}
    flat = [value for row in params for value in (row if isinstance(row, list | tuple) else [row])]
    return any((value.hex if isinstance(value, uuid.UUID) else value) in ids for value in flat if value is not None)


class Writes:
    """Statements that write, with what they write."""

    def __init__(self):
        self.seen = []

    def __call__(self, execute, sql, params, many, context):
        if sql.split(None, 1)[0] in ("INSERT", "UPDATE", "DELETE") and "django_session" not in sql:
            self.seen.append((sql, list(params or ())))
        return execute(sql, params, many, context)


def forms_of(client, addresses):
    found = {}
    for address in addresses:
        answer = client.get(address)
        if answer.streaming:
            close_file(answer)
            continue
        if answer.status_code == 200 and answer["Content-Type"].startswith("text/html"):
            parser = Forms(address)
            parser.feed(html_of(answer))
            for target, boxes in parser.found.items():
                if boxes and target not in found and not target.startswith("/accounts/"):  # those sign out
                    found[target.split("#")[0]] = boxes
    return found


def as_sent(boxes):
    """The form as it stands, with the first choice of each box."""
    return {name: values[0] if values else "" for name, values in boxes.items() if name}


def id_boxes(boxes):
    """Names of the boxes of a form that hold an id."""
    for name, values in boxes.items():
        offered = [value for value in values if value]
        if FIGURE.search(name):
            continue
        if ID_BOX.search(name) or (offered and all(IS_ID.fullmatch(value) for value in offered)):
            yield name


def likely(own, foreign):
    """The other company's ids that a box of such values could hold; every one where the page offers none."""
    if not own:
        return foreign
    if all("-" in value and IS_ID.fullmatch(value) for value in own):
        return [each for each in foreign if len(each) == 36]
    if all(value.isdigit() for value in own):
        return [each for each in foreign if each.isdigit()]
    return [each for each in foreign if each.startswith("ZZ-")]


def written(client, address, data):
    """(status, statements that wrote); what was written is withdrawn."""
    writes = Writes()
    with transaction.atomic(), connection.execute_wrapper(writes):
        status = client.post(address, data).status_code
        transaction.set_rollback(True)
    return status, writes.seen


def url_name(address):
    return resolve(address.split("?")[0]).url_name


@pytest.fixture
def recalled(owner):
    """An item that a recall stands open for, of a class that hangs in no sheet."""
    item = ItemFactory(company=owner.company, maker="Quillmere Ropewalk", gear_class="rope_grab")
    today = owner.company.today()
    record_recall(actor=owner, maker=item.maker, gear_classes=("rope_grab",), announced_on=today, source="notice 7")
    return item


@pytest.fixture
def measured(arguments, owner):
    """What was measured on the tackle of the plan, which its page offers."""
    block = Assignment.objects.get(sheet_id=arguments["draft_id"]["sheet_id"], role="moving_block").item
    return record(owner, block)


@pytest.fixture
def forms(arguments, recalled, measured, owner, inspector, signed_in):
    """Every form of every page, as the owner sees it, and of rounds as the inspector does."""
    pages = [
        reverse(name, kwargs={k: v for key in needed for k, v in arguments[key].items()})
        for name, needed, method, _ in map(split_row, ROWS)
        if method == "GET" and not name.startswith(("account_", "mfa_", "device", "demo_"))
    ]
    pages.append(reverse("item_recall", args=[recalled.tag]))
    theirs = {"owner": signed_in(owner), "inspector": signed_in(inspector)}
    rounds = [page for page in pages if page.startswith("/rounds/")]
    by_owner = forms_of(theirs["owner"], pages)
    by_inspector = {a: f for a, f in forms_of(theirs["inspector"], rounds).items() if a not in by_owner}
    return [(theirs["owner"], a, f) for a, f in by_owner.items()] + [
        (theirs["inspector"], a, f) for a, f in by_inspector.items()
    ]


def test_no_form_writes_another_companys_row(forms, foreign):
    leaks, tried, own_writes = [], 0, []
    for client, address, boxes in forms:
        base = as_sent(boxes)
        for name in id_boxes(boxes):
            own = [value for value in boxes[name] if value]
            for value in own[:1]:
                if written(client, address, {**base, name: value})[1]:
                    own_writes.append(url_name(address))
            for value in likely(own, foreign):
                tried += 1
                status, writes = written(client, address, {**base, name: value})
                if status >= 500 or any(names_foreign(params, foreign) for _, params in writes):
                    leaks.append(f"{address} {name}={value}: {status} {[sql[:80] for sql, _ in writes]}")
    print(f"\n{len(forms)} forms, {tried} foreign ids tried, {len(own_writes)} of our own written")
    posted = [row for row in map(split_row, ROWS) if row[2] == "POST"]
    takes = {name for name, _, _, statuses in posted if statuses["owner"] not in ("405", "404")}
    takes -= {name for name in takes if name.startswith(("account_", "mfa_", "device", "demo_"))}
    targets = {url_name(address) for _, address, _ in forms}
    assert leaks == []
    assert sorted(takes - targets - WITHOUT_FORM - OF_ANOTHER_STATE) == [], "addresses whose form was not found"
    assert sorted(targets & OF_ANOTHER_STATE) == [], "addresses listed as without a form that have one"
    assert tried > 100
    assert len(own_writes) > 5, "forms that write nothing prove nothing"
    assert {"item_recall", "plan_efficiency"} <= set(own_writes)


def test_a_button_sends_the_form_it_stands_in_to_its_own_address():
    parser = Forms("/plan/")
    parser.feed(
        '<form method="post"><button name="m" value="3" formaction="/take/">Take</button><input name="a" value="1">'
        '</form><form method="get"><button formaction="/look/">Look</button></form>'
    )
    assert parser.found == {"/plan/": {"a": ["1"]}, "/take/": {"a": ["1"], "m": ["3"]}}


def test_a_row_that_is_named_is_noticed(foreign):
    assert names_foreign([1, "x", FIRST], foreign)
    assert names_foreign([["x", FIRST + 1]], foreign)
    assert names_foreign([next(each.replace("-", "") for each in foreign if len(each) == 36)], foreign)
    assert names_foreign([1, RATIO], foreign)
    assert not names_foreign([1, "ZZ-91", None], foreign)
