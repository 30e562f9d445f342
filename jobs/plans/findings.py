"""The mechanics' codes as findings in the reader's words and units."""

from collections.abc import Iterable, Iterator, Mapping

from jobs.mechanics.convert import FormatError
from jobs.mechanics.errors import OutOfRange
from jobs.mechanics.findings.code import Code
from jobs.mechanics.findings.codes import code_subject, find_code
from jobs.mechanics.roles import find_role, role_title
from jobs.plans.data import PlanData
from jobs.plans.tolerances import Corner
from jobs.wording.felling import felling
from jobs.wording.figure import ANGLE, LENGTH, WIND, Figure, Part, Words, words
from jobs.wording.finding import Area, Finding
from jobs.wording.finding_facts import fact_words, told
from jobs.wording.unit_formatter import UnitFormatter

# The form field that mends a code; codes about positions lead to the load path instead.
FIELDS = {
    "too-few-people": "haulers",
    "people-marginal": "haulers",
    "hinge-too-thin": "hinge_thickness_m",
    "hinge-thin": "hinge_thickness_m",
    "hinge-too-thick": "hinge_thickness_m",
    "hinge-too-narrow": "hinge_width_m",
    "hinge-geometry": "notch_depth_ratio",
    "notch-depth": "notch_depth_ratio",
    "notch-opening": "notch_opening_deg",
    "notch-narrow": "notch_opening_deg",
    "wind-above-limit": "gust_m_s",
    "line-too-steep": "anchor_distance_m",
    "line-steep": "anchor_distance_m",
    "line-geometry": "anchor_distance_m",
    "off-axis-pull": "anchor_azimuth_deg",
    "off-axis": "anchor_azimuth_deg",
    "attach-too-low": "attach_height_m",
    "attach-low": "attach_height_m",
    "attach-above-sound-wood": "attach_height_m",
    "attach-outside-stem": "attach_height_m",
    "attach-too-thin": "attach_height_m",
    "stem-bends": "attach_height_m",
    "proof-pull-too-high": "attach_height_m",
    "shared-anchor": "backup_anchor",
    "wedge-needed": "wedge_planned",
    "proof-needed": "proof_pull_planned",
    "side-line-needed": "side_line",
    "side-moment": "side_line",
    "side-line-ineffective": "side_anchor_azimuth_deg",
    "bore-cut-needed": "cut_method",
    "window-empty": "attach_height_m",
    "pre-tension-needs-gauge": "tension_gauge",
    "gauge-band-empty": "tension_gauge",
    "restraint-needed": "restraint",
    "restraint-slack": "restraint_slack_m",
    "no-throw": "two_blocked_length_m",
    "tackle-eta": "sheave_efficiency_ratio",
    "hitch-spread": "hitch_spread_deg",
}


def corner_findings(corners: Iterable[Corner], plan_data: PlanData, write: UnitFormatter) -> tuple[Finding, ...]:
    """Findings of all corners, each code once with the figures of the first corner that gave it.

    A corner away from the plan as written says so: it holds only within the tolerances the lead set.
    """
    found: dict[str, Finding] = {}
    for corner in corners:
        for finding in findings_of(corner, write):
            if not is_waiting_for_rope(finding, plan_data):
                found.setdefault(finding.full_code, finding)
    return tuple(found.values())


def is_waiting_for_rope(finding: Finding, plan_data: PlanData) -> bool:
    """A planned restraint cannot be worked before its rope hangs in place: that position is what is missing."""
    return finding.code == "restraint-needed" and plan_data.plan.restraint


def findings_of(corner: Corner, write: UnitFormatter) -> Iterator[Finding]:
    within = write.text(corner_words(corner.changes))
    if corner.refused is not None:
        refused = corner.refused
        yield word_finding(refused.code, refused.facts, write, message=refused.message, within=within)
    elif corner.result is not None:
        for found in corner.result.findings:
            yield word_finding(found.code, found.facts, write, within=within)


def corner_words(changes: Mapping[str, float]) -> Words:
    """Where in the tolerances a corner lies: "line 0.3 m lower, gust 1.0 m/s stronger"; without parts where nowhere."""
    parts: list[Part] = []
    for name, by in changes.items():
        if not by:
            continue
        if name == "attach":
            parts.append(words("line {} {}", Figure("line", abs(by), LENGTH), "higher" if by > 0 else "lower"))
        elif name == "anchor":
            parts.append(words("anchor {} {}", Figure("anchor", abs(by), LENGTH), "farther" if by > 0 else "nearer"))
        elif name == "gust":
            parts.append(words("gust {} stronger", Figure("gust", by, WIND)))
        elif name == "lean":
            parts.append(words("lean {} {}", Figure("lean", abs(by), ANGLE), "more" if by > 0 else "less"))
        else:
            parts.append(f"{abs(int(by))} {'more' if by > 0 else 'fewer'} on the tail")
    return words(", ".join(["{}"] * len(parts)), *parts)


def word_finding(
    full_code: str, facts: Mapping[str, float | str], write: UnitFormatter, *, message: str = "", within: str = ""
) -> Finding:
    code = find_code(full_code)
    if code is None:
        raise LookupError(f"the mechanics gave {full_code}, which is not in the list of codes")
    subject = code_subject(full_code)
    where, title = subject_words(code, subject), felling(code.title)
    sentence = told(code.name, code.sentences, facts)
    if sentence:
        said: tuple[str, ...] = (write.text(sentence),)
    else:
        said = (felling(code.meaning), facts_sentence(code.name, facts, write) or felling(message))
    text = " ".join(part for part in (*said, f"Within the tolerances: {within}." if within else "") if part)
    return Finding(
        code=code.name,
        subject=subject,
        severity="caution" if code.kind == "caution" else "refusal",
        area=area_of(code),
        title=f"{where}: {title[:1].lower()}{title[1:]}" if where else title,
        text=text,
        cure=felling(code.cure),
        field=FIELDS.get(code.name, subject if code.subject == "place" else ""),
        danger=code.danger,
        facts=dict(facts),
    )


def facts_sentence(code: str, facts: Mapping[str, float | str], write: UnitFormatter) -> str:
    """The figures behind a code as one sentence: "Load 2.90 kN, capacity 2.40 kN."; empty where there are none."""
    text = write.text(fact_words(code, facts))
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def area_of(code: Code) -> Area:
    if code.subject == "role":
        return "gear"
    return "stem" if code.section in (1, 15) else "plan"


def subject_words(code: Code, subject: str) -> str:
    if not subject:
        return ""
    if code.subject == "role" or find_role(subject) is not None:
        return role_title(subject)
    return subject.replace("_", " ").capitalize()


def format_finding(error: FormatError | OutOfRange) -> Finding:
    """An input the mechanics cannot read: nonsense a form should have caught, said plainly all the same."""
    path = error.path if isinstance(error, FormatError) else error.name
    return Finding(
        code="unknown",
        subject=path.removeprefix("inputs.").replace(".", "_") or "plan",
        severity="refusal",
        area="plan",
        title="A figure cannot be used",
        text=f"{path.removeprefix('inputs.')}: {error.message if isinstance(error, FormatError) else error}.",
        cure="Put a figure in its range.",
        danger=1,
    )
