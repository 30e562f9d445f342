"""Steps of the main path, the same with JavaScript and without."""

import re
from io import BytesIO

from pypdf import PdfReader

from tests.browser.conftest import PASSWORD

JOB = "Lock-keeper's cottage, embankment"


def sign_in_by_hand(page, name):
    page.get_by_label("Email").fill(f"{name}@crewlog.example")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("heading", level=1, name=re.compile("day ")).wait_for()


def find_tag(page, tag):
    """By the thumb bar to the box for a tag, and from there to the item."""
    page.get_by_role("link", name="Find tag").click()
    page.get_by_label("Tag").fill(tag)
    page.get_by_role("button", name="Find it").click()
    page.get_by_role("heading", level=1, name=re.compile(tag)).wait_for()


def log_drop(page, tag):
    """Say that an item fell; it is out of use at once."""
    find_tag(page, tag)
    page.get_by_role("link", name="Log an event").click()
    page.get_by_text("Drop from height").click()
    page.get_by_label("How, and what you saw").fill("Slipped from the hand, fell onto the coping.")
    page.get_by_role("button", name="Record it").click()
    page.get_by_role("heading", name="Not fit today").wait_for()


def open_stem_from_today(page, stem):
    page.get_by_role("link", name="Today").click()
    page.locator("main").get_by_role("link", name=JOB).click()
    page.get_by_role("heading", level=1, name=JOB).wait_for()
    page.locator("main").get_by_role("link", name=re.compile(stem)).first.click()


def start_next_revision(page):
    """From a stem whose sheet is issued to the load path of its next revision."""
    page.get_by_role("link", name="Next revision").click()
    page.get_by_role("button", name="Start the next revision").click()
    page.get_by_role("heading", level=1, name=re.compile("gear on the load path")).wait_for()


def open_sheet_from_load_path(page):
    page.locator(".thumb--task a").last.click()
    page.get_by_role("heading", level=1, name=re.compile("^Sheet ")).wait_for()


def hang(page, position, tag):
    page.get_by_role("link", name=re.compile(rf"^Change\s*: {position}$")).click()
    page.get_by_role("heading", level=1, name=position).wait_for()
    page.get_by_role("listitem").filter(has_text=tag).get_by_role("button", name=re.compile("^Use")).click()
    page.get_by_role("heading", level=1, name=re.compile("gear on the load path")).wait_for()


def paper(page):
    """The bytes behind the link to the paper, fetched with the page's own session."""
    link = page.get_by_role("link", name=re.compile("^Open the PDF"))
    answer = page.request.get(link.get_attribute("href"))
    assert answer.status == 200
    assert answer.headers["content-type"] == "application/pdf"
    return answer.body()


def words_of(pdf):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages).split())


def from_drop_to_paper(page):
    """A block falls, the issued sheet is withdrawn with it, the next revision is refused, cured and issued."""
    sign_in_by_hand(page, "lead")
    log_drop(page, "B-01")
    page.get_by_role("link", name="Today").click()
    page.get_by_text("Sheet K-120-3 withdrawn", exact=True).wait_for()

    open_stem_from_today(page, "Stem 3")
    page.get_by_role("heading", name="Withdrawn").first.wait_for()
    start_next_revision(page)
    page.get_by_text("Moving block: out of use").or_(page.get_by_text("B-01: out of use")).first.wait_for()
    open_sheet_from_load_path(page)
    page.get_by_role("heading", name="Why it is refused").wait_for()
    assert page.get_by_text("B-01: out of use").count() >= 1
    assert page.get_by_role("button", name="Issue the sheet").count() == 0

    page.get_by_role("link", name="Load path and duties").click()
    hang(page, "Moving block", "B-02")
    open_sheet_from_load_path(page)
    page.get_by_role("heading", name="Nothing is refused").wait_for()
    for answer in page.locator("input[type=checkbox][name^=look]").all():  # the emergency answers, looked at again
        answer.check(force=True)
    page.get_by_role("button", name="Issue the sheet").click()
    page.get_by_text("Sheet K-120-3, revision 2 is issued.").wait_for()

    pdf = paper(page)
    assert pdf.startswith(b"%PDF")
    words = words_of(pdf)
    assert "K-120-3" in words
    assert "Moving block B-02" in words
    assert "Moving block B-01" not in words
