"""The one list of roles and the one list of codes."""

import re

import pytest

from jobs.mechanics import limits
from jobs.mechanics.defaults import DEFAULTS
from jobs.mechanics.findings.codes import CODES, ITEM_REFUSALS, code_subject, fails, find_code
from jobs.mechanics.findings.collected import Findings
from jobs.mechanics.roles import (
    ANCHOR_KINDS,
    HEATED_ROPE_ROLES,
    ITEM_KINDS,
    NOT_USED_REASONS,
    ROLE_PATTERN,
    ROLES,
    find_role,
    role_number,
    role_title,
)
from tests.rows import every_row

NAMES = [code.name for code in CODES]


def test_each_code_is_listed_once():
    assert len(set(NAMES)) == len(NAMES) == 85


def test_kinds_of_codes_are_as_many_as_the_model_lists():
    by_kind = {kind: sum(code.kind == kind for code in CODES) for kind in ("refusal", "fail", "caution")}
    assert by_kind == {"refusal": 25, "fail": 45, "caution": 15}


@every_row("code", CODES, ids=NAMES)
def test_each_code_says_what_it_is_and_what_cures_it(code):
    for text in (code.title, code.meaning, code.cure):
        assert text
        assert text[0].isupper()
        assert not re.search(r"\b(safe|ok|please)\b|!", text, re.IGNORECASE)
    assert code.meaning.endswith(".")
    assert code.cure.endswith(".")
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", code.name)
    assert 1 <= code.section <= 15


def test_item_refusals_are_fails_with_a_role_in_a_plan():
    for name in ITEM_REFUSALS:
        code = find_code(name)
        assert code.subject == "role"
        assert code.kind == "fail"


def test_code_with_its_subject_is_found_and_taken_apart():
    assert find_code("under-rated:redirect_block_2").name == "under-rated"
    assert code_subject("under-rated:redirect_block_2") == "redirect_block_2"
    assert code_subject("back-lean") == ""
    assert find_code("no-such-code") is None


def test_fails_leave_cautions_out():
    assert fails(("back-lean", "under-rated:cleat", "wedge-needed")) == ("under-rated:cleat", "wedge-needed")
    with pytest.raises(KeyError):
        fails(("invented",))


def test_findings_take_listed_fails_and_cautions_only():
    findings = Findings()
    for name in ("invented", "decay"):
        with pytest.raises(KeyError):
            findings.note(name)


def test_findings_are_kept_once_and_gravest_come_first():
    findings = Findings()
    findings.note("haul-too-long", haul_m=70.0)
    findings.note("under-rated", "cleat", load_n=2.0)
    findings.note("crew-in-fall-zone", "haulers", distance_m=3.0)
    findings.note("under-rated", "cleat", load_n=9.0)
    assert findings.codes == ("crew-in-fall-zone:haulers", "haul-too-long", "under-rated:cleat")
    order = [finding.code for finding in findings.gravest_first()]
    assert order == ["crew-in-fall-zone:haulers", "under-rated:cleat", "haul-too-long"]
    assert findings.gravest_first()[1].facts == {"load_n": 2.0}


def test_roles_are_listed_once_with_kinds_and_reasons_that_exist():
    names = [role.name for role in ROLES]
    assert len(set(names)) == len(names) == 33
    for role in ROLES:
        assert set(role.kinds) <= set(ITEM_KINDS)
        assert set(role.reasons) <= set(NOT_USED_REASONS)
        assert role.title


def test_numbered_roles_are_found_with_their_number_only():
    assert find_role("redirect_block_2").name == "redirect_block"
    assert role_number("side_redirect_anchor_12") == 12
    assert role_title("redirect_sling_1") == "Sling of redirect 1"
    for name in ("redirect_block", "redirect_block_0", "redirect_block_01", "anchor_1", "nothing", "redirect_block_1x"):
        assert find_role(name) is None


@pytest.mark.parametrize("name", ["anchor", "redirect_block_1", "side_redirect_sling_3", "cleat"])
def test_pattern_of_role_names_agrees_with_the_list(name):
    assert re.search(ROLE_PATTERN, name)
    assert find_role(name) is not None


def test_anchor_roles_are_the_six_of_the_path():
    anchors = {role.name for role in ROLES if role.is_anchor}
    assert anchors == {
        "anchor",
        "bollard_anchor",
        "redirect_anchor",
        "side_anchor",
        "side_redirect_anchor",
        "restraint_anchor",
    }
    assert all(role.kinds == ANCHOR_KINDS for role in ROLES if role.is_anchor)


def test_every_heated_role_takes_a_rope():
    for name in HEATED_ROPE_ROLES:
        assert find_role(name).kinds[0] in ("rope", "hitch_cord")


# The limits as agreed on paper: a change of any of them has to be meant.
LIMITS = {
    "HINGE_TOO_THIN_M": 0.020,
    "HINGE_TOO_THIN_RATIO": 0.05,
    "HINGE_THIN_M": 0.025,
    "HINGE_THIN_RATIO": 0.08,
    "HINGE_TOO_THICK_RATIO": 0.15,
    "HINGE_TOO_NARROW_RATIO": 0.70,
    "NOTCH_SHALLOWEST_RATIO": 0.20,
    "NOTCH_DEEPEST_RATIO": 0.35,
    "MIN_NOTCH_OPENING_DEG": 45.0,
    "NOTCH_OPENING_USUAL_DEG": 70.0,
    "GUST_LIMIT_M_S": 11.0,
    "LINE_TOO_STEEP_DEG": 45.0,
    "LINE_STEEP_DEG": 35.0,
    "OFF_AXIS_FAIL_DEG": 15.0,
    "OFF_AXIS_DEG": 5.0,
    "ATTACH_LOW_RATIO": 2 / 3,
    "STRUCK_SECTOR_DEG": 15.0,
    "BACK_LEAN_FAIL_DEG": 10.0,
    "BACK_LEAN_DEG": 5.0,
    "SIDE_LEAN_FAIL_DEG": 10.0,
    "SIDE_LINE_LEAN_DEG": 3.0,
    "SIDE_LINE_LEAN_TARGET_DEG": 1.5,
    "SIDE_LINE_UTILISATION_RATIO": 0.50,
    "FORWARD_LEAN_FAIL_DEG": 15.0,
    "NEAR_FALL_ZONE_RATIO": 1.5,
    "IN_LINE_SECTOR_DEG": 15.0,
    "TENDER_CLEARANCE_M": 1.0,
    "WINDOW_SPAN_RATIO": 2.0,
    "GAUGE_EFFICIENCY_LOSS_RATIO": 0.05,
    "STEM_STEP_M": 0.1,
    "OVERHAUL_LIMIT_RATIO": 2.0,
    "OVERHAUL_ANCHOR_LIMIT_RATIO": 1.0,
    "GROUND_FALL_DEG": 5.0,
    "RESTRAINT_SLACK_M": 0.5,
    "LONG_HAUL_M": 60.0,
    "MANY_RESETS": 4.0,
    "FURTHEST_ANCHOR_RATIO": 4.0,
}


def test_limits_are_as_agreed_and_all_of_them_are_listed_here():
    values = {name: value for name, value in vars(limits).items() if isinstance(value, float)}
    assert values == LIMITS


def test_limits_are_in_the_register_of_defaults_with_their_basis():
    assert DEFAULTS["back_lean_fail"].basis == "panel's judgement"
    assert {default.value for default in DEFAULTS.values()} >= set(LIMITS.values())
