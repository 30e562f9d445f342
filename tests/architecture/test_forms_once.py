"""Every form that records carries a key, and the view it is sent to uses it; the others say why not."""

import re
from pathlib import Path

import pytest
from django.urls import URLPattern, URLResolver, get_resolver

from crewlog.unsent.addresses import is_posts_only
from gear.events import views as events
from gear.examinations import views as inspections
from gear.fact_changes import views as fact_changes
from gear.files import views as files

TEMPLATES = Path(__file__).resolve().parents[2] / "templates"
FORM = re.compile(r'<form\b[^>]*method="post".*?</form>', re.S)
ACTION = re.compile(r'<form\b[^>]*\baction="([^>]*)')
NAMED = re.compile(r'\{% url "(\w+)"')

STATE = "sets a state: sent twice it is the state it was"
EDIT = "edits a row: what it showed travels with it, and a later save asks"
SIGN_IN = "signs in or out, or changes the account: nothing of the company is recorded"
LOOKS = "how pages look on this device"
DRAFT = "a draft that may be sent any number of times; its signature carries a key"
READS = "makes a PDF or a preview and records nothing"

ISSUE = "a sheet is issued once by a constraint of its own; the second is led to what was issued"

# By template and by the name of the address a form is sent to; "" is the page's own.
FORMS = {
    ("jobs/sheet_draft.html", "sheet_issue"): ISSUE,
    ("parts/bar.html", "theme"): LOOKS,
    ("parts/themes.html", "theme"): LOOKS,
    ("crewlog/more.html", "account_logout"): SIGN_IN,
    ("crewlog/company.html", ""): EDIT,
    ("crewlog/examiner.html", ""): STATE,
    ("crewlog/sign_in_rules.html", ""): EDIT,
    ("gear/reminders.html", ""): STATE,
    ("gear/_round_item_part.html", ""): DRAFT,
    ("gear/labels.html", ""): READS,
    ("gear/list_new.html", ""): READS,
    ("gear/list_columns.html", ""): READS,
    ("jobs/_choice.html", "position"): EDIT,
    ("jobs/position.html", "position"): EDIT,
    ("jobs/position.html", "position_clear"): EDIT,
    ("jobs/_plan_cures.html", "plan_set"): EDIT,
    ("jobs/plan_least.html", "plan_set"): EDIT,
    ("jobs/assign.html", "fill_from_store"): STATE,
}
VIEWS = {
    "sheet_issue": ISSUE,
    "theme": LOOKS,
    "device_end": SIGN_IN,
    "devices_end": SIGN_IN,
    "sign_in_rules": EDIT,
    "company": EDIT,
    "examiner": STATE,
    "person_edit": EDIT,
    "reminders": STATE,
    "item_edit": EDIT,
    "job_edit": EDIT,
    "anchor_edit": EDIT,
    "stem": EDIT,
    "sheet_day": EDIT,
    "plan": EDIT,
    "plan_set": EDIT,
    "plan_efficiency": EDIT,
    "plan_try": READS,
    "position": EDIT,
    "position_clear": EDIT,
    "fill_from_store": STATE,
    "round_item": DRAFT,
    "round_answers": DRAFT,
    "labels": READS,
    "list_new": READS,
    "list_columns": READS,
}
# Views that read photographs first and record in an inner function.
WITHIN = {
    "item_inspect": inspections.inspected,
    "item_event": events.happened,
    "item_files": files.filed,
    "item_change": fact_changes.changed,
}


def post_forms():
    """(template, name of the address, whether it carries a key) of each form that posts."""
    for path in sorted(TEMPLATES.rglob("*.html")):
        name = path.relative_to(TEMPLATES).as_posix()
        if name.split("/")[0] in ("account", "mfa", "allauth", "registration"):
            continue  # SIGN_IN
        for form in FORM.findall(path.read_text(encoding="utf-8")):
            yield name, sent_to(form), "{% form_key %}" in form


def sent_to(form):
    """The name of the address in a form's tag; a form that has no action is sent to its own page."""
    action = ACTION.match(form)
    return NAMED.match(action[1])[1] if action else ""


def without_key():
    return {(name, address) for name, address, has_key in post_forms() if not has_key}


def test_every_form_that_posts_carries_a_key_or_is_listed_with_its_reason():
    assert len(list(post_forms())) > 40
    missing = without_key() - set(FORMS)
    assert not missing, f"no form_key and no reason: {sorted(missing)}"


def test_no_form_is_listed_that_is_not_there():
    assert set(FORMS) - without_key() == set()


def test_a_form_is_known_by_where_it_is_sent():
    assert sent_to('<form method="post" action="{% url "plan_set" stem.pk %}" novalidate>') == "plan_set"
    assert sent_to('<form class="stack" method="post" novalidate>') == ""


def test_every_posting_form_that_opens_also_ends_in_its_file():
    for path in TEMPLATES.rglob("*.html"):
        text = path.read_text(encoding="utf-8")
        assert len(re.findall(r'<form\b[^>]*method="post"', text)) == len(FORM.findall(text)), path


def views(patterns=None):
    for entry in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(entry, URLResolver):
            if "allauth" not in str(entry.urlconf_name):
                yield from views(entry.url_patterns)
        elif isinstance(entry, URLPattern):
            yield entry.name, entry.callback


def takes_posts(view):
    """Whether a view lets POST through: the methods its decorator was given."""
    if is_posts_only(view):
        return True
    while view is not None:
        for cell in getattr(view, "__closure__", None) or ():
            methods = cell.cell_contents
            if isinstance(methods, list) and all(isinstance(each, str) and each.isupper() for each in methods):
                return "POST" in methods
        view = getattr(view, "__wrapped__", None)
    return False


def test_every_view_that_takes_posts_records_once_or_is_listed_with_its_reason():
    posting = {name: view for name, view in views() if takes_posts(view)}
    assert len(posting) > 50
    for name, inner in WITHIN.items():
        assert vars(inner)["records_once"], name
    once = {name for name, view in posting.items() if getattr(view, "records_once", False)} | set(WITHIN)
    assert set(posting) - once == set(VIEWS)


@pytest.mark.parametrize("reasons", [FORMS, VIEWS])
def test_each_reason_is_a_sentence(reasons):
    assert all(len(reason) > 20 for reason in reasons.values())
