"""A British company reads of felling cuts and sinks, a North American one of back cuts and notches."""

import ast
import io
import re

import pytest
from django.core.management import call_command
from django.db import IntegrityError, transaction
from django.urls import reverse
from pypdf import PdfReader

from crewlog.evidence.documents import document_bytes
from crewlog.felling_words import BRITISH, NORTH_AMERICAN, felling_words, felling_words_of
from crewlog.models import Company
from jobs.models import Job
from jobs.sheets.emergency import EVERYTHING
from jobs.sheets.services import issue_sheet
from jobs.sheets.state_check import sheet_faults
from jobs.wording.felling import felling
from tests.architecture.tree import ROOT, files_under, text_of, tree_of
from tests.factories.jobs import passing_sheet
from tests.factories.scenario import edit_plan, fresh
from tests.pages import html_of

NORTH = re.compile(r"(?<![\w-])(back cut|notch|notches)(?![\w-])", re.IGNORECASE)
SOUTH = re.compile(r"\b(felling cut|sink|sinks)\b", re.IGNORECASE)
FORBIDDEN = [("british", NORTH, SOUTH), ("north_american", SOUTH, NORTH)]


def visible(html):
    """The text people read: without tags, and so without names of boxes and addresses."""
    return " ".join(re.sub(r"<[^>]+>", " ", re.sub(r"(?s)<(script|style).*?</\1>", " ", html)).split())


def set_words(company, words):
    Company.objects.filter(pk=company.pk).update(felling_words=words)
    company.refresh_from_db()


@pytest.mark.parametrize(
    ("text", "british"),
    [
        ("Back cut may start", "Felling cut may start"),
        ("before the back cut", "before the felling cut"),
        ("Notch opens too little", "Sink opens too little"),
        ("kinds of notches", "kinds of sinks"),
        ("notch_depth_ratio", "notch_depth_ratio"),
        ("notch-depth", "notch-depth"),
        ("a notched beam", "a notched beam"),
        ("back_cut_x_m", "back_cut_x_m"),
    ],
)
def test_words_are_changed_whole_and_names_of_fields_stay(text, british):
    assert felling(text) == text
    with felling_words_of(BRITISH):
        assert felling(text) == felling(felling(text)) == british
    assert felling_words() == NORTH_AMERICAN


def test_words_there_are_none_of_are_refused():
    with pytest.raises(ValueError, match="north_american or british"), felling_words_of("welsh"):
        pass


@pytest.mark.django_db
def test_database_knows_two_ways(company):
    assert company.felling_words == "north_american"
    with pytest.raises(IntegrityError, match="crewlog_company_known_felling_words"), transaction.atomic():
        Company.objects.filter(pk=company.pk).update(felling_words="welsh")


@pytest.mark.django_db
@pytest.mark.parametrize(("words", "never", "there"), FORBIDDEN)
def test_plan_page_and_working_say_the_companys_words(company, lead, signed_in, words, never, there):
    set_words(company, words)
    sheet = passing_sheet(company, lead=lead.person)
    for name in ("plan", "plan_working"):
        text = visible(html_of(signed_in(lead).get(reverse(name, args=[sheet.stem_id]))))
        assert never.findall(text) == []
        assert there.findall(text)


@pytest.mark.django_db
@pytest.mark.parametrize(("words", "never", "there"), FORBIDDEN)
def test_refused_plan_says_the_companys_words(company, lead, signed_in, words, never, there):
    set_words(company, words)
    sheet = passing_sheet(company, lead=lead.person)
    edit_plan(sheet, notch_depth_ratio=0.4, notch_opening_deg=40.0)
    text = visible(html_of(signed_in(lead).get(reverse("plan", args=[sheet.stem_id]))))
    assert never.findall(text) == []
    assert f"{'Sink' if words == 'british' else 'Notch'} opens too little" in text


@pytest.mark.django_db
def test_open_answers_and_labels_of_the_form_say_the_companys_words(company, lead, signed_in):
    set_words(company, "british")
    sheet = passing_sheet(company, lead=lead.person)
    edit_plan(sheet, notch_depth_ratio=None)
    page = signed_in(lead).get(reverse("plan", args=[sheet.stem_id]))
    form = page.context["form"]
    assert form.fields["notch_depth_ratio"].label == "Sink depth"
    assert form.fields["cut_method"].label == "Felling cut"
    assert "Felling cut from behind" in [label for _, label in form.fields["cut_method"].choices]
    assert NORTH.findall(visible(html_of(page))) == []


@pytest.mark.django_db
@pytest.mark.parametrize(("words", "never", "there"), FORBIDDEN)
def test_issued_sheet_keeps_the_words_of_its_issue(company, lead, words, never, there):
    set_words(company, words)
    sheet = passing_sheet(company, lead=lead.person)
    issue = issue_sheet(actor=lead, sheet=fresh(sheet), looked_at=EVERYTHING)
    paper = bytes(document_bytes(issue.record))
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(paper)).pages).split())
    assert never.findall(text) == []
    assert there.findall(text)
    other = "british" if words == "north_american" else "north_american"
    set_words(company, other)
    assert list(sheet_faults(company)) == []
    assert bytes(document_bytes(issue.record)) == paper


@pytest.mark.django_db
def test_what_a_person_typed_stays(company, lead, signed_in):
    set_words(company, "british")
    sheet = passing_sheet(company, lead=lead.person)
    Job.objects.filter(pk=sheet.stem.job_id).update(site_name="Notch Farm")
    assert "Notch Farm" in html_of(signed_in(lead).get(reverse("job", args=[sheet.stem.job_id])))


@pytest.mark.django_db
def test_company_is_started_with_british_words():
    facts = {"name": "Alder Bank", "owner_email": "o@example.org", "owner_name": "O", "link": True}
    call_command("start_company", **facts, felling_words="british")
    assert Company.objects.get(name="Alder Bank").felling_words == "british"


# Calls that say their texts in the words in force: the first where they stand, the others when they are read.
SAYS = {"felling", "words"}
# Declarations whose readers say them so: columns and answers by the form, constants where they are used.
SAID_BY_READERS = {
    "jobs/models/plan.py",  # labels by say_felling_words, words by missing_words and path_words
    "jobs/plans/form_groups.py",  # titles by part_of
    "jobs/wording/finding_facts.py",  # what facts are called, by fact_part
    "jobs/sheets/work_rows.py:LATE_CHECK",
}


def unsaid(path):
    """Texts with North American words outside the calls that say them, docstrings and declarations left out."""
    tree, name = tree_of(path), path.relative_to(ROOT).as_posix()
    said = set()
    for node in ast.walk(tree):
        called = node.func if isinstance(node, ast.Call) else None
        if isinstance(called, ast.Name) and called.id in SAYS:
            said |= {id(inner) for inner in ast.walk(node)}
        elif isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            said.add(id(node.value))
        elif isinstance(node, ast.Assign) and f"{name}:{getattr(node.targets[0], 'id', '')}" in SAID_BY_READERS:
            said |= {id(inner) for inner in ast.walk(node)}
        elif isinstance(node, ast.Call) and isinstance(called, ast.Name) and called.id == "Figure":
            said.add(id(node.args[0]))  # the name of a figure is never shown
    return [
        f"{name}:{node.lineno}: {node.value}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
        if NORTH.search(node.value) and id(node) not in said
    ]


def test_every_text_of_jobs_with_these_words_is_said_in_the_words_in_force():
    left = ("jobs/mechanics/", "jobs/migrations/", "jobs/wording/felling.py")
    paths = [path for path in files_under(ROOT / "jobs") if path.suffix == ".py"]
    names = {path: path.relative_to(ROOT).as_posix() for path in paths}
    looked_at = [path for path in paths if not names[path].startswith(left) and names[path] not in SAID_BY_READERS]
    assert len(looked_at) > 100
    assert [text for path in looked_at for text in unsaid(path)] == []


def test_every_text_of_a_template_with_these_words_is_said_in_the_words_in_force():
    comment = re.compile(r"(?s){% comment %}.*?{% endcomment %}|{#.*?#}")
    said = re.compile(r'"[^"]*"\|felling')
    for path in files_under(ROOT / "templates"):
        if path.suffix == ".html":
            assert NORTH.findall(said.sub("", comment.sub("", text_of(path)))) == [], path
