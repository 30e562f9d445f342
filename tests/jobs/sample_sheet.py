"""A realistic sheet built from the sample plans. Names, places and tags are invented."""

import datetime as dt
from dataclasses import replace

from crewlog.pdf.content import Signature
from jobs.plans.presentation import Assumption, KeyFigure, PartRow, PlanFigure, Reset, WorkingGroup, WorkingLine
from jobs.sheet_rows.content import Seal, SheetContent
from jobs.sheet_rows.rows import (
    Alternate,
    AnchorRow,
    Banner,
    Caution,
    ChangedInput,
    Check,
    Duty,
    DutyPerson,
    Emergency,
    Hazard,
    HoldPoint,
    Hung,
    PathRow,
    Site,
    Step,
    Use,
)
from jobs.wording.figure import (
    ANGLE,
    FORCE,
    GAUGE,
    HAND_FORCE,
    HANDS,
    LIMIT,
    LOAD,
    SHARE,
    STEM,
    TACKLE,
    WIND,
    Band,
    Count,
    Figure,
    words,
)
from tests.jobs import sample_plans

GEAR = {
    "main_line": ("R-07", "rope 14 mm, 45 m, hitch on it"),
    "stem_sling": ("S-12", "round sling, choked"),
    "stem_connector": ("C-28", "steel, screw sleeve"),
    "hitch_cord": ("H-05", "cord 10 mm, double fisherman"),
    "hitch_connector": ("C-31", "steel, self-locking sleeve"),
    "moving_block": ("B-08", "double block in line"),
    "fixed_block": ("B-06", "double block side by side"),
    "fixed_block_connector": ("C-33", "steel, self-locking sleeve"),
    "tackle_rope": ("R-21", "rope 12 mm, 24 m, sewn eye"),
    "cleat": ("K-02", "cam cleat on the moving block"),
    "anchor_sling": ("S-14", "round sling, basket 20°"),
    "bollard": ("D-02", "friction bollard, drum 150 mm"),
    "bollard_sling": ("S-15", "web sling, straight"),
    "tension_gauge": ("L-01", "load cell 20 kN"),
    "redirect_block_1": ("B-11", "single block"),
    "redirect_sling_1": ("S-19", "web sling, basket 15°"),
    "side_line": ("R-15", "rope 13 mm, 30 m"),
    "side_bollard": ("D-04", "friction bollard, drum 100 mm"),
    "restraint_line": ("R-30", "rope 16 mm, 25 m"),
    "restraint_sling": ("S-22", "round sling, straight"),
    "restraint_bollard": ("D-05", "friction bollard, drum 150 mm"),
}
ORDER = (
    "stem_sling", "stem_connector", "main_line", "redirect_block_1", "redirect_sling_1", "redirect_anchor_1",
    "tension_gauge", "hitch_cord", "hitch_connector", "moving_block", "cleat", "tackle_rope", "fixed_block",
    "fixed_block_connector", "anchor_sling", "anchor", "bollard", "bollard_sling", "bollard_anchor",
    "side_line", "side_bollard", "side_anchor",
    "restraint_line", "restraint_sling", "restraint_bollard", "restraint_anchor",
)  # fmt: skip


def _group(role):
    for start, title in (("side_", "Side line"), ("restraint_", "Restraint"), ("bollard", "Back-up")):
        if role.startswith(start):
            return title
    return "Pull line"


def _hung(role, item):
    if role not in GEAR:
        return Hung(kind="anchor", what=item.anchor_name or role, sort=f"{item.kind}, J. Pellaw's estimate")
    tag, what = GEAR[role]
    return Hung(kind="item", tag=tag, what=what, examined_on=dt.date(2026, 5, 3), due_on=dt.date(2027, 5, 3))


def path_rows(figures):
    rows = []
    for role in ORDER:
        use = figures.results.utilisations.get(role)
        if use is None:
            continue
        over = use.overhaul_utilisation_ratio
        rows.append(
            PathRow(
                role=role,
                title=role.replace("_", " ").capitalize(),
                group=_group(role),
                group_title=_group(role),
                is_anchor=role.endswith("anchor") or "_anchor_" in role,
                hung=_hung(role, figures.inputs.items[role]),
                use=Use(
                    load=Figure("load", use.load_n, FORCE, LOAD),
                    capacity=Figure("capacity", use.capacity_n, FORCE, LIMIT),
                    share=Figure("share", use.utilisation_ratio, SHARE, LOAD),
                    hauling_on=None if over is None else Figure("share while hauling on", over, SHARE, LOAD),
                    hauling_on_over=over is not None and over > 1,
                ),
                alternates=(Alternate("R-09"),) if role == "main_line" else (),
            )
        )
    return tuple(rows)


CAUTIONS = (
    Caution(title="Pre-tension can overshoot", text="Read the load cell: three people hauling hard reach 8.65 kN."),
    Caution(title="Crew can overload the gear", text="Stop at 2.64 kN on the cell. Hauling on: hitch cord 152 %."),
    Caution(title="A reset falls while it tips", text="Throw 2.70 m, tipping 4.47 m. Hold on the bollard."),
    Caution(title="Stop at gusts of 11 m/s", text="Planned for 6 m/s, the strongest expected."),
)

CHECKS = (
    Check(text="Attachment height confirmed as sound wood by the climber", done_by="M. Costin", done_at="08:40"),
    Check(text="Somebody other than the cutter tends the bollard"),
    Check(text="Tackle fully extended"),
    Check(text="Stopper knot in the tail"),
    Check(text="Cleat backed up on the bollard before hands leave the rope"),
    Check(text="Back-up tail on the bollard kept snug"),
    Check(text="Escape route cleared and walked"),
    Check(text="All gear checked before use and in date"),
    Check(text="Anchors: root plate, decay, lean, ground wet"),
    Check(text="Pre-tension read again just before the back cut"),
)


def duty(short, *names, contact="", supervisor=""):
    people = tuple(DutyPerson(name=name, supervisor=supervisor) for name in names)
    return Duty(key=short.lower(), title=short, short=short, people=people, contact=contact)


def parts(figures):
    """Rows of the one tackle of a sample."""
    (stage,) = figures.tackle.stages
    hauling = stage.hauling_part_tensions_n
    states = (hauling, stage.holding_part_tensions_n or hauling, stage.cleated_part_tensions_n or hauling)
    tensions = list(zip(*states, strict=True))
    return tuple(
        PartRow(
            stage=1,
            stages=1,
            number=number,
            is_becket=number == len(tensions),
            **{
                name: Figure("tension", force_n, HAND_FORCE, LOAD, TACKLE)
                for name, force_n in zip(("hauling", "lowering", "cleated"), forces, strict=True)
            },
        )
        for number, forces in enumerate(tensions, 1)
    )


def force(force_n, rounding=LOAD, at=STEM):
    return Figure("tension", force_n, FORCE, rounding, at)


def _working(results):
    return (
        WorkingGroup(
            title="required tension",
            lines=(
                WorkingLine(
                    name="Tension upright",
                    formula="T = [k_m (max(0, −M_g) + M_w + M_h) − k_a max(0, M_g)] / arm",
                    numbers="1.5 × (1,240 + 853 + 10,195) N m / 7.35 m",
                    result=f"{results.required_tension_n / 1000:.2f}",
                    unit="kN",
                    source="Statics; k_m and k_a chosen",
                ),
                WorkingLine(
                    name="Tension at the tackle",
                    formula="T_tackle = T_stem / η_line",
                    numbers="2,534 N / 0.963",
                    result="2.64",
                    unit="kN",
                    source="Bearing friction in proportion to the resultant; sheave 0.93 as measured",
                ),
            ),
        ),
        WorkingGroup(
            title="bollard",
            lines=(
                WorkingLine(
                    name="Holding force",
                    formula="F = T exp(−2π μ w)",
                    numbers="2,631 N × exp(−2π × 0.12 × 3)",
                    result="280",
                    unit="N",
                    source="Capstan relation",
                ),
            ),
        ),
    )


def sheet(figures=None, **changes):
    """The full plan with side line, redirect, gauge, travel, bollard and restraint."""
    figures = figures or sample_plans.side_line_and_redirect()
    r = figures.results
    content = SheetContent(
        company="Sallow Reach Tree Works",
        sheet_number="0412-7",
        revision="1",
        title="stem 7, alder",
        day="26 November 2026",
        window="08:00 to 13:00",
        issued="26 November 2026, 07:14, by Jonas Pellaw from plan revision 5",
        site=Site(
            job_reference="0412 Withy Cut",
            client="Eelpool Navigation",
            name="Withy Cut",
            address="Eelpool Lock, towpath side",
            grid_reference="QX 418 226",
            access="Lock lane, gate 2, key at the cottage",
        ),
        emergency=Emergency(
            number="112",
            department="Marlhaven, 11 km, day and night",
            meeting_point="Gate 2, lock lane",
            signal="Poor under the bank; good on the footbridge",
            grid_reference="QX 418 226",
            rescue_plan="Rescue climber E. Oduya, kit hung at the foot of the alder by the lock. Stretcher in the van.",
            communication="Headsets on channel 3. Three whistle blasts: stop. Lost contact: stop.",
        ),
        duties=(
            duty("Lead", "J. Pellaw", contact="channel 3"),
            duty("Cutter", "M. Costin"),
            duty("Hauler", "K. Brodzka", "D. Harkness", "S. Tregowan"),
            duty("Bollard", "E. Oduya"),
            duty("Side line", "T. Vell"),
            duty("Lookout", "R. Amsel", supervisor="J. Pellaw"),
        ),
        key_figures=(
            KeyFigure(
                key="stop",
                label="Maximum before the cut",
                value=force(2690.0, LIMIT, GAUGE),
                note="on the gauge; the stem can split above",
                stop=True,
            ),
            KeyFigure(
                key="tail",
                label="On the tail",
                value=Count(3, "people"),
                note="no fourth: hitch cord past twice its capacity",
            ),
            KeyFigure(
                key="band",
                label="Pre-tension on the gauge",
                value=Band(force(410.0, at=GAUGE), force(2690.0, LIMIT, GAUGE)),
                note="aim for 1.20 kN at the stem",
            ),
            KeyFigure(
                key="full",
                label="Full pull",
                value=force(2640.0, at=TACKLE),
                note="only when the cutter is clear and has said so",
            ),
            KeyFigure(
                key="wind",
                label="Wind stop",
                value=Figure("gust", 11.0, WIND),
                note="gust at crown height; planned for 6 m/s",
            ),
        ),
        envelope=(
            "Line 8.3 to 8.7 m up the stem",
            "Redirect 19.5 to 20.5 m out, on the lay",
            "Gusts up to 6 m/s",
            "Three haulers on the tail",
            "Lean 3.5° to 5.5°",
        ),
        hold_points=(
            HoldPoint(go="Proof pull done", given_by="J. Pellaw", detail="2.64 kN for one minute, anchors watched"),
            HoldPoint(go="Notch done, pre-tension read", given_by="M. Costin"),
            HoldPoint(go="Back cut may start", given_by="J. Pellaw"),
            HoldPoint(go="Cutter clear, full pull", given_by="M. Costin"),
            HoldPoint(go="Stem dead", given_by="J. Pellaw", detail="before anyone approaches"),
        ),
        sequence=(
            Step(text="Zone clear, lookout in place, gear rigged and ticked", who="J. Pellaw"),
            Step(text="Haul to 2.64 kN, hold one minute, then slack to the pre-tension", who="Haulers", hold=1),
            Step(text="Face notch 26 % deep, opening 70°", who="M. Costin", hold=2),
            Step(text="Pre-tension read again: between 0.41 and 2.69 kN", who="E. Oduya", hold=3),
            Step(text="Back cut to a hinge of 4.0 cm, wedge in", who="M. Costin", hold=4),
            Step(text="Haul; one reset while it tips, held on the bollard", who="Haulers"),
            Step(text="Restraint line taken up, stem lies still", who="T. Vell", hold=5),
        ),
        plan_figures=(
            PlanFigure(label="Needed at the stem", value=force(r.stem_tension_n), margin="adverse 1.5, helping 0.9"),
            PlanFigure(
                label="At the tackle",
                value=force(r.tackle_tension_n, at=TACKLE),
                margin="redirect 0.93",
                note="one redirect",
            ),
            PlanFigure(
                label="At the hand",
                value=Figure("pull", r.hauling_force_n, HAND_FORCE, LOAD, HANDS),
                note="three hold 680 N",
            ),
            PlanFigure(
                label="Proof pull",
                value=force(r.proof_tension_n, at=TACKLE),
                note=words("limit {}", force(9340.0, LIMIT, TACKLE)),
            ),
            PlanFigure(label="Back lean", value=Figure("back lean", r.back_lean_deg, ANGLE), margin="limit 10°"),
        ),
        load_path=path_rows(figures),
        cautions=CAUTIONS,
        checks=CHECKS,
        hazards=(
            Hazard(
                kind="Path",
                description="Footbridge",
                where="14 m left of the lay",
                control="Closed at both ends, R. Amsel on the near end",
            ),
            Hazard(
                kind="House",
                description="Lock-keeper's cottage",
                where="9 m behind",
                control="Occupant out until the go is given",
            ),
        ),
        anchors=(
            AnchorRow(
                position="Anchor",
                name="oak 1",
                kind="living tree",
                estimate=Figure("strength", 30_000.0, FORCE, LIMIT),
                made_by="J. Pellaw",
                basis="55 cm, sound, sling 0.5 m up",
            ),
            AnchorRow(
                position="Bollard anchor",
                name="oak 2",
                kind="living tree",
                estimate=Figure("strength", 28_000.0, FORCE, LIMIT),
                made_by="J. Pellaw",
                basis="50 cm, sound",
                open_checks=("ground",),
            ),
        ),
        changed_inputs=(
            ChangedInput(
                what="Gust",
                before="13 m/s",
                after="6 m/s",
                at="07:52",
                refusal="Wind above limit",
                source="forecast → measured",
                by="J. Pellaw",
            ),
        ),
        parts=parts(figures),
        resets=(Reset(when="after 2.70 m of line", text="Hold on the bollard, T. Vell calls it", while_tipping=True),),
        working=_working(r),
        assumptions=(
            Assumption(
                id="rupture", name="Rupture modulus, alder", value=50e6, unit="Pa", basis="from memory", note="a table"
            ),
            Assumption(
                id="friction",
                name="Friction on the drum",
                value=0.12,
                unit="1",
                basis="from memory",
                note="smooth metal",
            ),
        ),
        signatures=(
            Signature(role="Lead", name="Jonas Pellaw", signed_at="26 November, 07:14"),
            Signature(role="Cutter", name="Mara Costin"),
            Signature(role="Bollard", name="Efe Oduya"),
        ),
        seal=Seal(
            snapshot_sha256="7c1e90ab44d2" + "0f" * 26,
            chain_head="a4" * 32,
            mechanics_version="1.0",
            address="https://crewlog.example/sheets/0412-7/1",
        ),
        figures=figures,
    )
    return replace(content, **changes)


def first_sheet():
    """The plan of one hauler: a short load path that ends on page one."""
    return sheet(sample_plans.one_hauler(), envelope=("Gusts up to 6 m/s", "One hauler on the tail"))


WITHDRAWN = Banner(
    kind="withdrawn",
    title="Withdrawn: hitch cord H-05 failed its examination",
    text="26 November, 09:20. Do not rig from this sheet.",
)
GEAR_ONLY = Banner(
    kind="gear-only",
    title="No felling figures",
    text="Decayed stem. Line load by method statement MS-14, signed by R. Amsel.",
)
