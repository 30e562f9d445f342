"""The job sheet read back from its PDF."""

import io
import re
from dataclasses import replace
from typing import Any

import pdfplumber
import pytest
from pypdf import PdfReader

from crewlog.pdf.content import Fact
from crewlog.pdf.styles import BODY, CELL, FOOT, PAGE_HEIGHT, PAGE_WIDTH, SIDE, TOP, clean, fit, lines_needed, para
from jobs.plans.presentation import KeyFigure
from jobs.plans.si_text import si_text
from jobs.sheet_pdf.document import ADVICE
from jobs.sheet_pdf.job_sheet import render_job_sheet
from jobs.sheet_pdf.load_path import printed_row
from jobs.sheet_rows.content import ContentError, Seal, SheetContent
from jobs.sheet_rows.rows import Caution, DutyPerson, HoldPoint, Step
from jobs.wording.figure import Count
from jobs.wording.unit_formatter import UnitFormatter
from tests.jobs import sample_sheet

MARKUP = '<img src="file:///etc/passwd"/> <b>bold</b> &amp; ]]> <para>'
LONG_WORD = "W" * 400
MANY_LETTERS = "Ążćłńóśź Ελληνικά Кириллица " * 8
NAMES = ("Žofie Kůrková", "Łucja Dąbrowska-Wójcik", "Ελένη Παπαδοπούλου", "Ярослава Щербакова", "Șerban Țepeș")


def flat(text):
    return re.sub(r"\s+", "", text)


def pages(content):
    return [page.extract_text() for page in PdfReader(io.BytesIO(render_job_sheet(content))).pages]


def words(content):
    return flat("".join(pages(content)))


@pytest.fixture(scope="module")
def content():
    return sample_sheet.sheet()


@pytest.fixture(scope="module")
def pdf(content):
    return render_job_sheet(content)


@pytest.fixture(scope="module")
def texts(pdf):
    return [flat(page.extract_text()) for page in PdfReader(io.BytesIO(pdf)).pages]


def hostile(content):
    """Every text of the sheet hostile in its own way."""
    everything = MANY_LETTERS + MARKUP
    return replace(
        content,
        company=everything,
        title=MARKUP + LONG_WORD,
        day=MANY_LETTERS,
        issued=MARKUP * 6,
        site=replace(
            content.site, client=MANY_LETTERS, address=MARKUP * 9, grid_reference=LONG_WORD, access="step\n" * 40
        ),
        emergency=replace(
            content.emergency, number=LONG_WORD, rescue_plan=everything * 30, communication=LONG_WORD * 12
        ),
        duties=tuple(
            replace(d, people=(DutyPerson(name=MANY_LETTERS, supervisor=MANY_LETTERS),) * 4) for d in content.duties
        )
        * 2,
        key_figures=tuple(
            replace(k, value="123456789.123456789", note=MANY_LETTERS, label=everything) for k in content.key_figures
        ),
        load_path=tuple(
            replace(p, title=MARKUP, hung=replace(p.hung, what=everything, tag=LONG_WORD[:60]))
            for p in content.load_path
        ),
        cautions=tuple(replace(c, title=MARKUP, text=MANY_LETTERS * 3) for c in content.cautions) * 2,
        envelope=(MARKUP * 5,) * 9,
        hazards=tuple(replace(h, description=LONG_WORD, control=MANY_LETTERS * 25) for h in content.hazards),
        hold_points=tuple(replace(h, go=MANY_LETTERS, given_by=LONG_WORD) for h in content.hold_points),
        signatures=tuple(replace(s, name=MANY_LETTERS, role=MARKUP) for s in content.signatures),
        banner=replace(sample_sheet.WITHDRAWN, title=MANY_LETTERS, text=MARKUP * 6),
    )


@pytest.fixture(scope="module")
def hostile_pdf(content):
    return render_job_sheet(hostile(content))


# --- what stands on it ------------------------------------------------------------------------------------------------


def test_page_one_says_what_must_not_be_missed(content, texts):
    first = texts[0]
    said = ["Sheet 0412-7: stem 7, alder", content.company, content.site.access, content.site.grid_reference]
    said += [content.emergency.number, content.emergency.department, content.emergency.signal]
    said += [name for duty in content.duties for name in duty.names]
    for figure in content.key_figures:
        printed = content.write.printed(figure.value)
        said += [figure.label, printed.number, printed.unit, content.write.text(figure.note)]
    said += [part for caution in content.cautions for part in (caution.title, caution.text)]
    said += [hold.go for hold in content.hold_points]
    said += [content.write.text(line) for line in content.envelope]
    missing = [text for text in said if flat(text) not in first]
    assert missing == []


def test_every_position_is_read_back_with_its_gear_and_limits(content, texts):
    everything = "".join(texts)
    for row in (printed_row(each, content.write) for each in content.load_path):
        # The columns between gear and use stand in one line of the table.
        line = flat(row.inspected + row.due + row.load + row.capacity + row.share)
        assert line in everything, row.title
        assert flat(row.gear) in everything
        assert flat(row.title) in everything


def test_overleaf_holds_the_rest(content, texts):
    rest = "".join(texts[1:])
    text = content.write.text
    said = [text(step.text) for step in content.sequence]
    said += [text(part) for each in content.plan_figures for part in (each.label, each.value, each.margin, each.note)]
    said += [check.text for check in content.checks]
    said += [
        part for hazard in content.hazards for part in (hazard.kind, hazard.description, hazard.where, hazard.control)
    ]
    said += [
        part
        for anchor in content.anchors
        for part in (text(anchor.estimate), anchor.made_by, anchor.basis, *anchor.open_checks)
    ]
    said += [content.emergency.rescue_plan, content.emergency.communication]
    said += [
        part
        for change in content.changed_inputs
        for part in (change.before, change.after, change.refusal, change.source)
    ]
    said += [part for reset in content.resets for part in (text(reset.when), reset.text)]
    lines = [line for group in content.working for line in group.lines]
    said += [part for line in lines for part in (line.formula, line.numbers, line.result, line.source)]
    said += [part for assumption in content.assumptions for part in (si_text(assumption), assumption.basis)]
    said += [signature.name for signature in content.signatures]
    said += [content.seal.address, content.seal.chain_head, content.seal.snapshot_sha256]
    missing = [each for each in said if flat(each) not in rest]
    assert missing == []


def test_every_page_has_its_number_the_advice_and_the_seal(content, texts):
    for number, text in enumerate(texts, start=1):
        assert flat(f"Page {number} of {len(texts)}") in text
        assert flat(ADVICE) in text
        assert content.seal.snapshot_sha256 in text
        assert content.seal.chain_head in text
    for text in texts[1:]:
        assert flat("Sheet 0412-7, revision 1: stem 7, alder") in text


def test_the_sample_takes_few_pages(texts):
    assert 3 <= len(texts) <= 5


def test_drawings_stand_on_the_sheet_in_the_readers_units(content, texts):
    assert flat("2.54 kN") in texts[0]
    assert flat("570 lbf") in flat(pages(replace(content, write=UnitFormatter("us")))[0])


def test_load_path_goes_on_overleaf_under_its_head_again(texts):
    head = flat("Position Gear Inspected Due Carries May carry Use Hauling on")
    assert head in texts[0]
    assert head in texts[1]


def test_a_sixth_caution_stands_overleaf(content):
    more = tuple(Caution(title=f"Caution {n}", text=f"Limit {n}0 N.") for n in range(1, 8))
    first, *rest = pages(replace(content, cautions=more))
    assert "Caution 5" in first
    assert "Caution 6" not in first
    assert "Caution 7" in "".join(rest)


def test_cautions_keep_their_order_of_danger(content, texts):
    places = [texts[0].index(flat(caution.title)) for caution in content.cautions]
    assert places == sorted(places)


@pytest.mark.parametrize(
    ("banner", "word"), [(sample_sheet.WITHDRAWN, "WITHDRAWN"), (sample_sheet.GEAR_ONLY, "NO FELLING FIGURES")]
)
def test_a_sheet_that_does_not_stand_says_so_on_every_page(content, banner, word):
    first, *rest = pages(replace(content, banner=banner))
    assert flat(banner.title) in flat(first)
    assert rest
    assert all(flat(word) in flat(page) for page in rest)


def test_a_gear_only_sheet_has_its_method_statement_and_no_drawing(content):
    sheet = replace(
        content,
        kind="gear-only",
        figures=None,
        method_statement="Line load 4.00 kN by MS-14.",
        banner=sample_sheet.GEAR_ONLY,
    )
    everything = words(sheet)
    assert flat("Line load 4.00 kN by MS-14.") in everything
    assert flat("Side view") not in everything
    assert flat("full pull 2.54 kN") not in everything


# --- how it is made ---------------------------------------------------------------------------------------------------


def test_same_content_gives_the_same_bytes(content, pdf):
    assert render_job_sheet(sample_sheet.sheet()) == pdf
    assert render_job_sheet(replace(content, revision="2")) != pdf


def test_drawings_and_code_are_vectors(pdf):
    reader = PdfReader(io.BytesIO(pdf))
    assert all(len(page.images) == 0 for page in reader.pages)
    resources: list[Any] = [page["/Resources"] for page in reader.pages]
    assert all("/XObject" not in each for each in resources)


def test_pages_are_a4(pdf):
    for page in PdfReader(io.BytesIO(pdf)).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == (
            pytest.approx(595.28, abs=0.01),
            pytest.approx(841.89, abs=0.01),
        )


def test_type_is_nine_points_with_labels_of_eight(pdf):
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        sizes = {round(char["size"], 1) for page in document.pages for char in level(page).chars}
    assert min(sizes) >= 8.0
    assert {8.0, 9.0} <= sizes


def test_all_type_is_the_one_family_and_embedded(pdf):
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        faces = {char["fontname"].split("+")[-1] for page in document.pages for char in page.chars}
    assert faces == {"FiraSans-Regular", "FiraSans-Medium", "FiraSans-SemiBold", "FiraSans-Bold"}


# --- nothing overlaps -------------------------------------------------------------------------------------------------


def level(page):
    """The page without its turned labels, whose boxes are not their outline."""
    return page.filter(lambda thing: thing["object_type"] != "char" or abs(thing["matrix"][1]) < 1e-6)


def overlapping(page):
    """Pairs of words whose boxes share real area."""
    found = level(page).extract_words()
    boxes = sorted(
        ((w["x0"] + 0.4, w["top"] + 2.2, w["x1"] - 0.4, w["bottom"] - 2.2, w["text"]) for w in found),
        key=lambda box: box[1],
    )
    clashes = []
    for i, (x0, top, x1, bottom, text) in enumerate(boxes):
        for left, upper, right, lower, other in boxes[i + 1 :]:
            if upper >= bottom:
                break
            if left < x1 and x0 < right and upper < bottom and top < lower:
                clashes.append((text, other))
    return clashes


@pytest.mark.parametrize("name", ["pdf", "hostile_pdf"])
def test_no_words_overlap_on_any_page(name, request):
    with pdfplumber.open(io.BytesIO(request.getfixturevalue(name))) as document:
        for page in document.pages:
            assert overlapping(page) == [], f"page {page.page_number}"


@pytest.mark.parametrize("name", ["pdf", "hostile_pdf"])
def test_nothing_is_printed_outside_the_margins(name, request):
    with pdfplumber.open(io.BytesIO(request.getfixturevalue(name))) as document:
        for page in document.pages:
            for char in page.chars:
                assert char["x0"] >= SIDE - 1, char
                assert char["x1"] <= PAGE_WIDTH - SIDE + 1, char
                assert char["top"] >= TOP - 3, char
                assert char["bottom"] <= PAGE_HEIGHT - 6, char


def test_body_ends_above_the_foot(pdf):
    """What stands below the frame is the foot alone: advice, page number, seal."""
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        for page in document.pages:
            foot = page.crop((0, PAGE_HEIGHT - FOOT + 4, PAGE_WIDTH, PAGE_HEIGHT)).extract_text()
            assert flat(foot).startswith("Figuresareestimates")


# --- user text --------------------------------------------------------------------------------------------------------


def test_markup_in_user_text_is_printed_and_not_followed(hostile_pdf):
    reader = PdfReader(io.BytesIO(hostile_pdf))
    assert all(len(page.images) == 0 for page in reader.pages)
    everything = flat("".join(page.extract_text() for page in reader.pages))
    assert flat(MARKUP) in everything
    assert "root:x:0" not in everything


def test_what_page_one_cuts_short_stands_in_full_overleaf(content, hostile_pdf):
    reader = PdfReader(io.BytesIO(hostile_pdf))
    rest = flat("".join(page.extract_text() for page in reader.pages[1:]))
    assert "incutshort" not in rest
    assert flat("In full, cut short above") in rest
    assert flat("step " * 12) in rest


@pytest.mark.parametrize("name", NAMES)
def test_names_in_other_letters_are_printed(content, name):
    duties = (replace(content.duties[0], people=(DutyPerson(name=name),)), *content.duties[1:])
    assert flat(name) in words(replace(content, duties=duties))


@pytest.mark.parametrize(
    "text", ["", " ", "\x00\x07\u202etext\u2066", "]]>", "&#x26;", "a\r\nb", "</para>", "<", "%s %(x)d {0}"]
)
def test_any_text_becomes_a_paragraph(text):
    para(text, BODY).wrap(100, 100)


def test_control_and_direction_characters_are_dropped():
    assert clean("a\x00b\u202ec\u2066d\te") == "abcd e"


def test_text_is_cut_only_where_it_does_not_fit():
    assert fit("short", CELL, 100, 1) == ("short", False)
    cut, was_cut = fit("one two three four five six seven eight nine ten " * 4, CELL, 100, 2)
    assert was_cut
    assert cut.endswith(" …")
    assert lines_needed(cut, CELL, 100) == 2


# --- content that cannot become a sheet -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"load_path": ()}, "load path"),
        ({"duties": ()}, "duties"),
        ({"figures": None}, "figures"),
        ({"kind": "gear-only"}, "method statement"),
        ({"key_figures": (KeyFigure(key="tail", label="a", value=Count(1)),) * 6}, "6 key figures"),
        ({"sequence": (Step(text="a", hold=6),)}, "hold point"),
        ({"sequence": (Step(text="a", hold=1),), "hold_points": ()}, "hold point"),
    ],
)
def test_a_sheet_without_what_it_needs_is_refused(content, change, said):
    with pytest.raises(ContentError, match=said):
        replace(content, **change)


def test_a_seal_needs_a_whole_hash_and_a_web_address():
    good = {
        "snapshot_sha256": "a" * 64,
        "chain_head": "b" * 64,
        "mechanics_version": "1",
        "address": "https://crewlog.example/s",
    }
    assert Seal(**good).snapshot_sha256 == "a" * 64
    with pytest.raises(ContentError, match="64"):
        Seal(**{**good, "snapshot_sha256": "A" * 64})
    with pytest.raises(ContentError, match="address"):
        Seal(**{**good, "address": "javascript:alert(1)"})


def test_content_is_plain_frozen_data():
    fact = Fact("Grid", "QX 418 226")
    with pytest.raises(AttributeError):
        setattr(fact, "value", "other")  # noqa: B010 - as one who does not heed types
    for plain in (SheetContent, HoldPoint):
        assert vars(plain)["__dataclass_params__"].frozen
