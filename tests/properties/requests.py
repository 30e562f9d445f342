"""Requests of every topic as JSON, drawn over the whole input space: every key, every word of the interface.

Values are such as a stem and its rig may have, and somewhat beyond what the model covers, so that answers, refusals
and codes all turn up. Figures that hang together (heights along one stem, an anchor in front of it) are drawn together,
or all plans would be refused at the first line.
"""

from hypothesis import strategies as st

from jobs.mechanics.rating_data import TERMINATIONS
from jobs.mechanics.roles import NOT_USED_REASONS, ROLES
from jobs.mechanics.uncertainty_inputs import INPUT_NAMES


def real(low, high):
    return st.floats(low, high, allow_nan=False, allow_infinity=False)


def word(*words):
    return st.sampled_from(words)


def record(needed, optional):
    return st.fixed_dictionaries(needed, optional={key: each for key, each in optional.items() if key not in needed})


@st.composite
def trees(draw):
    top = draw(real(5.0, 35.0))
    base, taper = draw(real(0.15, 1.3)), draw(real(0.2, 1.0))
    shares = sorted({0.0, 1.0, *draw(st.lists(word(0.1, 0.3, 0.5, 0.7, 0.9), max_size=3))})
    return {
        "sections": [
            {"height_m": top * share, "diameter_m": round(base * (1.0 - taper * share), 3)} for share in shares
        ],
        "lay_azimuth_deg": draw(real(0.0, 360.0)),
        "hinge_height_m": draw(real(0.0, 1.0)),
        "green_density_kg_m3": draw(real(400.0, 1300.0)),
    } | draw(
        record(
            {},
            {
                "bark_thickness_m": real(0.0, 0.03),
                "lean_deg": real(0.0, 20.0),
                "lean_azimuth_deg": real(0.0, 360.0),
                "sweep": st.lists(knots(top), max_size=2, unique_by=lambda knot: knot["height_m"]).map(rising),
                "crown": st.lists(lumps(top), max_size=2),
                "tree_height_m": real(0.0, 40.0),
                "decay": word(False, False, False, False, False, False, False, True),
            },
        )
    )


def rising(sweep):
    return sorted(sweep, key=lambda knot: knot["height_m"])


def knots(top):
    offset = real(-0.4, 0.4)
    return record({"height_m": real(0.0, top), "forward_m": offset, "left_m": offset}, {})


def lumps(top):
    offset = real(-1.5, 1.5)
    extras = {"forward_m": offset, "left_m": offset, "frontal_area_m2": real(0.0, 25.0), "drag_coeff": real(0.0, 1.5)}
    return record({"mass_kg": real(0.0, 600.0), "height_m": real(0.4 * top, top)}, extras)


hinges = record(
    {
        "rupture_modulus_mean_pa": real(20e6, 110e6),
        "elastic_modulus_mean_pa": real(4e9, 15e9),
        "shear_strength_mean_pa": real(3e6, 15e6),
    },
    {
        "notch_depth_ratio": real(0.09, 0.5),
        "thickness_m": real(0.01, 0.12),
        "shape": word("rectangle", "strip"),
        "width_m": real(0.05, 0.3),
        "rupture_modulus_cov": real(0.0, 0.3),
        "shear_strength_cov": real(0.0, 0.3),
        "notch_opening_deg": real(20.0, 120.0),
        "split_prone": st.booleans(),
    },
)
winds = record(
    {"gust_m_s": real(0.0, 15.0)},
    {"air_density_kg_m3": real(1.0, 1.4), "stem_drag_coeff": real(0.5, 1.5), "working_limit_m_s": real(5.0, 20.0)},
)
ground = {"slope_deg": real(-20.0, 20.0), "height_m": real(0.0, 3.0)}
margins = record({}, {"adverse_factor": real(1.0, 2.5), "favourable_factor": real(0.5, 1.0)})
options = record(
    {},
    {
        "sit_back_factor": real(1.0, 2.0),
        "favourable_factor": real(0.5, 1.0),
        "bending_fraction": real(0.1, 0.4),
        "split_fraction": real(0.3, 0.8),
        "shear_fraction": real(0.1, 0.4),
        "fracture_energy_j_m2": real(100.0, 500.0),
        "back_cut_progress_ratio": real(0.1, 0.9),
        "method": word("conventional", "bore_with_strap"),
        "strap_thickness_ratio": real(0.05, 0.2),
        "planned_pre_tension_n": real(0.0, 5e3),
    },
)


@st.composite
def lines(draw, tree, away_deg=0.0, redirects=2):
    """A line from high on the stem to an anchor about this many degrees off the lay."""
    top, lay = tree["sections"][-1]["height_m"], tree["lay_azimuth_deg"] + away_deg
    points = []
    for number in range(draw(st.integers(0, redirects))):
        at = {"distance_m": (1.0 + 0.6 * number) * top * draw(real(0.6, 1.4)), "azimuth_deg": lay + draw(real(-18, 18))}
        turned = {"efficiency": real(0.7, 1.0), "friction_coeff": real(0.0, 0.5)}
        points.append(at | {"kind": draw(word("sheave", "ring"))} | draw(record({}, ground | turned)))
    far, aside = draw(real(0.8, 4.0)) * top, draw(real(-60.0, 60.0) if points else real(-20.0, 20.0))
    line = {
        "attach_height_m": draw(real(0.3, 0.98)) * top,
        "anchor": {"distance_m": far, "azimuth_deg": lay + aside} | draw(record({}, ground)),
    }
    if points:
        line["redirects"] = points
    if draw(st.booleans()):
        line["sound_wood_height_m"] = draw(real(0.7, 1.0)) * top
    return line


efficiency = real(0.5, 1.0)


@st.composite
def stages(draw):
    parts, rove = draw(st.integers(2, 8)), draw(word("to_advantage", "to_disadvantage"))
    sheaves = parts - (rove == "to_advantage")
    ratios = efficiency | st.lists(efficiency, min_size=sheaves, max_size=sheaves)
    lengths = {"two_blocked_length_m": real(0.2, 1.5), "setback_m": real(0.0, 0.5), "tail_m": real(0.0, 5.0)}
    optional = {
        "sheave_efficiency": ratios,
        "holding_sheave_efficiency": ratios,
        "cleat_on": word("hauling_block", "separate"),
        "lead_angle_deg": real(0.0, 180.0),
        "extended_length_m": real(2.0, 15.0),
    }
    return {"parts": parts, "rove": rove} | draw(record({}, optional | lengths))


rigs = st.lists(stages(), min_size=1, max_size=2)
ropes = record(
    {
        "breaking_strength_n": real(1e4, 1.5e5),
        "reference_elongation_ratio": real(0.002, 0.1),
        "reference_load_ratio": real(0.05, 0.5),
    },
    {"stiffening_exponent": real(0.5, 2.0)},
)
rating = real(2e3, 2e5)


def items(kind):
    return record(
        {"kind": st.just(kind) if kind else word("block", "rope", "fence")},
        {
            "working_load_limit_n": rating,
            "breaking_strength_n": rating,
            "design_factor": real(1.0, 12.0),
            "terminations": st.lists(word(*TERMINATIONS), max_size=2),
            "bend_ratios": st.lists(real(2.5, 20.0), max_size=2),
            "vertical_rating_n": rating,
            "choker_rating_n": rating,
            "basket_rating_n": rating,
            "minor_axis_strength_n": rating,
            "residual_strength_ratio": word(0.0, 0.5, 0.9, 1.0, 1.1),
            "material": word("polyester", "nylon", "polypropylene", "polyethylene", "aramid", "steel", "aluminium"),
            "gate": word("plain", "screw", "auto", "bolt"),
            "loaded": word("major", "three_way", "across"),
            "anchor_name": word("oak 1", "oak 2", "stump 1"),
            "configuration": word("straight", "basket", "choker"),
            "basket_half_angle_deg": real(0.0, 70.0),
            "choke_angle_deg": real(0.0, 180.0),
            "inspection_overdue": word(False, False, True),
            "retired": word(False, False, True),
        },
    )


@st.composite
def load_paths(draw):
    """Items and reasons for some of the roles; a role may have either, both or neither."""
    put_in, left_out = {}, {}
    for role in ROLES:
        for number in (1, 2) if role.is_numbered else (1,):
            name = role.numbered(number)
            if draw(word(True, True, False)):
                put_in[name] = draw(items(draw(word(*role.kinds, *role.kinds, ""))))
            if draw(word(False, False, True)):
                left_out[name] = draw(word(*NOT_USED_REASONS, "forgotten"))
    return {"items": put_in, "not_used": left_out}


@st.composite
def restraints(draw):
    log = record(
        {
            "mass_kg": real(20.0, 5e3),
            "slope_deg": real(-10.0, 60.0),
            "attachment": word("axis", "top_tangent"),
        },
        {
            "rolling_resistance_coeff": real(0.0, 0.4),
            "slack_m": real(0.0, 2.0),
            "lead_angle_deg": real(0.0, 15.0),
            "slip_force_n": real(500.0, 3e4),
        },
    )
    if draw(st.booleans()):
        return draw(log) | {"stiffness_n_m": draw(real(1e3, 1e6))}
    return draw(log) | {"rope": draw(ropes), "length_m": draw(real(2.0, 60.0))}


spread = st.one_of(
    record({"distribution": word("normal", "lognormal"), "cov": real(0.0, 0.25)}, {}),
    record({"distribution": word("triangular"), "low_offset": real(-0.05, 0.0), "high_offset": real(0.0, 0.05)}, {}),
    record({"distribution": word("fixed")}, {}),
)
spreads = st.dictionaries(word(*INPUT_NAMES), spread, max_size=3)
people = {
    "people": st.integers(1, 14),
    "sustained_force_n": real(100.0, 400.0),
    "peak_force_n": real(300.0, 900.0),
    "best_sheave_efficiency": real(0.9, 1.0),
}


def places(top):
    where = word("haulers", "bollard_tender", "hitch_tender", "side_tender", "cutter", "lookout")
    at = {"place": where, "distance_m": real(0.0, 3.0 * top), "azimuth_deg": real(0.0, 360.0)}
    return st.lists(record(at, {"exempt": st.booleans()}), max_size=5)


@st.composite
def situations(draw):
    tree = draw(trees())
    return {"tree": tree, "hinge": draw(hinges), "line": draw(lines(tree)), "wind": draw(winds)}


@st.composite
def plans(draw, samples=60):
    """A whole plan: every key of the interface may be there."""
    state = draw(situations())
    top = state["tree"]["sections"][-1]["height_m"]
    lengths = {"extended_length_m": real(3.0, 15.0), "two_blocked_length_m": real(0.3, 1.5), "setback_m": real(0, 0.4)}
    optional = {name: value for name, value in people.items() if name != "people"}
    optional |= {
        "margins": margins,
        "window": options,
        "steady_force_n": real(100.0, 400.0),
        "hitch_spread_deg": real(0.0, 125.0),
        "tension_gauge": word("none", "in_line", "on_hauling_part"),
        "backup_anchor": word("own", "shared"),
        "wedge_planned": st.booleans(),
        "proof_pull_planned": st.booleans(),
        "side_target": st.booleans(),
        "shock_credible": st.booleans(),
        "side_line": lines(state["tree"], draw(word(90.0, -90.0)), redirects=1),
        "places": places(top),
        "ground_fall_deg": real(0.0, 30.0),
        "uncertainty": record({"samples": st.just(samples)}, {"seed": st.integers(0, 99), "distributions": spreads}),
        "travel": record({"rope": ropes}, {"slack_m": real(0.0, 2.0)} | lengths),
        "bollard": bollards("hand_force_n"),
        "restraint": restraints(),
    }
    asked = {"stages": draw(rigs), "people": draw(people["people"])} | draw(record({}, optional))
    return state | asked | (draw(load_paths()) if draw(st.booleans()) else {})


def bollards(*needed):
    forces = {"tension_n": real(0.0, 5e4), "hand_force_n": real(20.0, 400.0)}
    rest = {"wraps": real(0.5, 8.0), "friction_low": real(0.05, 0.2), "friction_high": real(0.2, 0.5)}
    return record({name: forces[name] for name in needed}, rest)


@st.composite
def travels(draw):
    each = draw(rigs)
    for stage in each:
        stage |= {"extended_length_m": draw(real(2.0, 20.0)), "two_blocked_length_m": draw(real(0.1, 2.5))}
    distances = {"line_length_m": real(0.0, 200.0), "tension_n": real(0.0, 3e4), "tip_travel_m": real(0.0, 15.0)}
    return {"stages": each, "rope": draw(ropes)} | draw(record(distances, {"slack_m": real(0.0, 3.0)}))


@st.composite
def uncertainties(draw):
    asked = record({"samples": st.integers(1, 80)}, {"seed": st.integers(0, 99), "distributions": spreads})
    return draw(situations()) | {"stages": draw(rigs)} | draw(asked)


@st.composite
def calibrations(draw):
    parts, rove = draw(st.integers(2, 8)), draw(word("to_advantage", "to_disadvantage"))
    pairs = st.tuples(real(50.0, 600.0), real(0.2, 1.05)).map(lambda pair: [pair[0], pair[0] * pair[1] * parts])
    asked = record({"readings_n": st.lists(pairs, min_size=2, max_size=6)}, {"confidence": real(0.5, 0.99)})
    return {"parts": parts, "rove": rove} | draw(asked)


tension = real(0.0, 5e4)
questions = st.one_of(
    record(
        {
            "what": word("resultant"),
            "tension_1_n": tension,
            "tension_2_n": tension,
            "included_angle_deg": real(0.0, 180.0),
        },
        {},
    ),
    record({"what": word("hitch_leg"), "tension_n": tension, "spread_deg": real(0.0, 125.0)}, {}),
    record({"what": word("bend_efficiency"), "bend_ratio": real(2.5, 50.0)}, {}),
)
kinds = word(*sorted({kind for role in ROLES for kind in role.kinds}), "")


def also(base, **more):
    return st.tuples(base, st.fixed_dictionaries(more)).map(lambda pair: pair[0] | pair[1])


def only(base, *names):
    return base.map(lambda whole: {name: whole[name] for name in names})


loaded = record({"stages": rigs, "load_n": tension}, {})
TOPIC_INPUTS = {
    "stem": trees(),
    "hinge": also(hinges, stem_diameter_m=real(0.1, 1.5)),
    "wind": only(situations(), "tree", "wind"),
    "line": only(situations(), "tree", "line", "hinge"),
    "pull": also(situations(), margins=margins, table_angles_deg=st.lists(real(0.0, 20.0), max_size=3)),
    "window": also(situations(), options=options),
    "tackle": st.tuples(loaded, record({}, people)).map(lambda pair: pair[0] | pair[1]),
    "travel": travels(),
    "crew": st.tuples(loaded, record({"people": people["people"]}, people)).map(lambda pair: pair[0] | pair[1]),
    "bollard": bollards("tension_n", "hand_force_n"),
    "utilisations": record(
        {"items": st.lists(record({"item": kinds.flatmap(items), "load_n": tension}, {}), max_size=4)}, {}
    ),
    "resultants": record({"items": st.lists(questions, max_size=4)}, {}),
    "restraint": restraints(),
    "uncertainty": uncertainties(),
    "measured_efficiency": calibrations(),
    "plan": plans(),
    "least": record({"plan": plans(samples=20), "what": word("people", "people", "parts", "hinge_thickness")}, {}),
}
