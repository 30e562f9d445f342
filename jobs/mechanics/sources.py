"""Every source the mechanics cites, by id.

`Source:` lines of docstrings and the `source` of each default name one of these ids. A textbook relation is one that
follows from first principles and is re-derived by an independent check in the tests; where a number or a formula was
recalled and not looked up, the entry says "from memory".
"""

from dataclasses import dataclass

DERIVED = "derived from first principles, and derived again by an independent check"
OBTAINED = {
    "MODEL-01": "decided here",
    "PANEL-01": "panel's judgement: agreed on paper, not published, not measured",
    "PRACTICE-01": "common practice, as published for fellers",
    "PRACTICE-02": "common practice, from memory",
    "PRACTICE-03": "common practice, from memory",
    "STANDARD-01": "from memory, to be confirmed in a copy",
    "HANDBOOK-01": "from memory, to be confirmed in a copy",
    "MEMORY-01": "from memory, to be confirmed",
    "SPLIT-01": f"{DERIVED}; its likeness to a timber code's formula from memory",
}


@dataclass(frozen=True, slots=True)
class Source:
    """Where a formula or a number comes from."""

    id: str
    author: str
    title: str
    year: str
    where: str

    @property
    def obtained(self) -> str:
        """How it came here: a textbook relation is derived, everything else says so."""
        return OBTAINED.get(self.id, DERIVED)


_TEXTBOOK = "Textbook derivation"
_ANY = "undated"


def _table(*sources: Source) -> dict[str, Source]:
    return {source.id: source for source in sources}


SOURCES: dict[str, Source] = _table(
    # Statics and geometry
    Source(
        "STATICS-01", _TEXTBOOK, "Equilibrium of moments of a rigid body about an axis; M = r x F", _ANY, "M = r x F"
    ),
    Source("STATICS-02", _TEXTBOOK, "Resultant of two forces", _ANY, "law of cosines"),
    Source(
        "STATICS-03", _TEXTBOOK, "Virtual work: dL/dtheta = -arm for a straight line to a fixed point", _ANY, "dW = 0"
    ),
    Source("STATICS-04", _TEXTBOOK, "Centre of parallel forces and centre of gravity", _ANY, "sum(m r)/sum(m)"),
    Source("GEOMETRY-01", _TEXTBOOK, "Volume and centroid of the frustum of a cone", _ANY, "integral of pi d^2/4"),
    Source(
        "GEOMETRY-02",
        _TEXTBOOK,
        "Strip of a circle between two parallel chords",
        _ANY,
        "primitives of x^k sqrt(R^2-x^2)",
    ),
    Source(
        "GEOMETRY-03", _TEXTBOOK, "Rotation of a point about a horizontal axis; unit vectors", _ANY, "rotation matrix"
    ),
    # Strength of materials
    Source("BEAM-01", _TEXTBOOK, "Elastic bending with axial force: N/A +/- M c/I", _ANY, "flexure formula"),
    Source("BEAM-02", _TEXTBOOK, "Fully plastic bending, equal strengths: M = f Z", _ANY, "rigid-plastic section"),
    Source("BEAM-03", _TEXTBOOK, "Force carried by part of a bent section: M Q/I", _ANY, "integral of M y/I dA"),
    Source(
        "SPLIT-01",
        _TEXTBOOK,
        "Energy release of a beam split along the grain, from the change of compliance",
        _ANY,
        "G = M^2 (1/I_r - 1/I_0)/(2 b E); same form as a timber code's notched-beam formula, from memory",
    ),
    Source("STRENGTH-01", _TEXTBOOK, "5 % and 95 % points of a normal distribution", _ANY, "mean (1 -/+ 1.645 COV)"),
    Source("WIND-01", _TEXTBOOK, "Drag of a bluff body in a uniform stream", _ANY, "F = rho V^2/2 cd A"),
    # Ropes, sheaves, tackle
    Source(
        "ROPE-01", "Euler, Eytelwein", "Friction of a rope on a drum (capstan equation)", _ANY, "T2/T1 = exp(mu phi)"
    ),
    Source(
        "ROPE-02",
        _TEXTBOOK,
        "Bearing friction proportional to the resultant on the pin, first order",
        _ANY,
        "1 - (1 - eta) sin(phi/2)",
    ),
    Source("ROPE-03", _TEXTBOOK, "Energy of a rope with a power-law load curve", _ANY, "integral of T dx"),
    Source(
        "TACKLE-01", _TEXTBOOK, "Tackle with a constant loss per sheave: geometric series", _ANY, "1 + e + e^2 + ..."
    ),
    Source("TACKLE-02", _TEXTBOOK, "Travel of a tackle by virtual work", _ANY, "haul = parts x travel"),
    Source("ROLL-01", _TEXTBOOK, "Solid cylinder rolling without slip", _ANY, "effective mass 1.5 m"),
    # Statistics
    Source(
        "STAT-01",
        _TEXTBOOK,
        "Sampling by the inverse of the distribution function; log-normal with given median",
        _ANY,
        "s^2 = ln(1 + cov^2)",
    ),
    Source("STAT-02", "Spearman", "Rank correlation", _ANY, "Pearson correlation of the ranks"),
    Source("STAT-03", "Student", "Confidence interval of a mean", _ANY, "m +/- t s/sqrt(N)"),
    # Practice, memory, judgement
    Source("MODEL-01", "This project", "Modelling decision, conservative in the stated direction", "2025", "chosen"),
    Source("PANEL-01", "Four practitioners", "A panel's judgement, on paper, not published", "2025", "panel"),
    Source(
        "PRACTICE-01",
        "Published practice",
        "Felling practice: notch 1/4 to 1/3, 45 and 70 degrees, hinge 10 % thick and 80 % long",
        _ANY,
        "common practice",
    ),
    Source(
        "PRACTICE-02",
        "Rigging practice",
        "Design factors, knots, bends, hitches, setback",
        _ANY,
        "common practice, from memory",
    ),
    Source("PRACTICE-03", "Seamanship practice", "A tenth of the load lost at each sheave", _ANY, "(W + n W/10)/P"),
    Source("STANDARD-01", "Standards, unnamed", "Number recalled from a standard", _ANY, "standard, from memory"),
    Source("HANDBOOK-01", "Handbooks, unnamed", "Number recalled from a handbook", _ANY, "handbook, from memory"),
    Source("MEMORY-01", "Unnamed", "Number recalled without a document", _ANY, "from memory"),
)
