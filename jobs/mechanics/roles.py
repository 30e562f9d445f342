"""The one list of roles in the load path: who carries what, of which kind, and when it may be left out.

Nothing else in the project names a role. Pages, paper and JSON read this table.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

RoleGroup = Literal["pull", "side", "restraint"]
Need = Literal["always", "optional", "redirect", "gauge", "gauge_optional", "side", "side_redirect", "restraint"]
RoleLoad = Literal[
    "stem_tension",
    "tackle_tension",
    "hitch_leg",
    "fixed_block_design",
    "greatest_part",
    "cleat_design",
    "redirect",
    "gauge",
    "side_tension",
    "side_bollard_tension",
    "side_redirect",
    "restraint_peak",
]

ANCHOR_KINDS = ("tree", "stump", "holdfast", "machine")
ROPE_KINDS = ("rope", "tackle_rope", "hitch_cord")
GEAR_KINDS = (
    "rope",
    "tackle_rope",
    "hitch_cord",
    "rope_grab",
    "connector",
    "block",
    "ring",
    "cleat",
    "bollard",
    "gauge",
    "sling",
)
ITEM_KINDS = GEAR_KINDS + ANCHOR_KINDS

NOT_USED_REASONS = {
    "tied_direct": "the line itself is tied there",
    "rope_grab_used": "a rope grab stands in its place",
    "part_of_block": "part of the block",
    "fixed_to_anchor": "bolted to or built on the anchor",
}


@dataclass(frozen=True, slots=True)
class Role:
    """One position in the load path.

    `name` is the JSON name; numbered roles (one for each redirect) are listed without their number.
    `load` says which figure of the plan it carries, `need` when it has to be filled, `kinds` what may
    stand there and `reasons` which reasons allow it to be left out.
    """

    name: str
    title: str
    load: RoleLoad
    need: Need
    kinds: tuple[str, ...]
    reasons: tuple[str, ...] = ()
    group: RoleGroup = "pull"

    @property
    def is_numbered(self) -> bool:
        """Whether there is one such role for each redirect."""
        return self.need in ("redirect", "side_redirect")

    @property
    def is_anchor(self) -> bool:
        """Whether an anchor stands here rather than gear."""
        return self.kinds == ANCHOR_KINDS

    @property
    def is_optional(self) -> bool:
        """Whether the role may stay empty without a reason."""
        return self.need in ("optional", "gauge_optional")

    def numbered(self, number: int) -> str:
        """Name with the redirect's number (from 1), or the plain name where there is only one."""
        return f"{self.name}_{number}" if self.is_numbered else self.name


ROLES: tuple[Role, ...] = (
    Role("main_line", "Main line", "tackle_tension", "always", ("rope",)),
    Role("stem_sling", "Sling on the stem", "stem_tension", "always", ("sling",), ("tied_direct",)),
    Role("stem_connector", "Connector at the stem", "stem_tension", "always", ("connector",), ("tied_direct",)),
    Role("rope_grab", "Rope grab on the main line", "tackle_tension", "optional", ("rope_grab",)),
    Role("hitch_cord", "Hitch cord on the main line", "hitch_leg", "always", ("hitch_cord",), ("rope_grab_used",)),
    Role(
        "hitch_connector",
        "Connector of the hitch",
        "tackle_tension",
        "always",
        ("connector",),
        ("part_of_block",),
    ),
    Role("moving_block", "Moving block", "tackle_tension", "always", ("block",)),
    Role("fixed_block", "Fixed block", "fixed_block_design", "always", ("block",)),
    Role(
        "fixed_block_connector",
        "Connector of the fixed block",
        "fixed_block_design",
        "always",
        ("connector",),
        ("part_of_block", "fixed_to_anchor"),
    ),
    Role("tackle_rope", "Tackle rope", "greatest_part", "always", ("tackle_rope",)),
    Role("cleat", "Cleat", "cleat_design", "always", ("cleat",), ("part_of_block",)),
    Role("anchor_sling", "Sling on the anchor", "fixed_block_design", "always", ("sling",), ("fixed_to_anchor",)),
    Role("anchor", "Anchor of the tackle", "fixed_block_design", "always", ANCHOR_KINDS),
    Role("bollard", "Bollard", "tackle_tension", "always", ("bollard",)),
    Role("bollard_sling", "Sling of the bollard", "tackle_tension", "always", ("sling",), ("fixed_to_anchor",)),
    Role("bollard_anchor", "Anchor of the bollard", "tackle_tension", "always", ANCHOR_KINDS),
    Role("redirect_block", "Redirect block", "redirect", "redirect", ("block", "ring")),
    Role(
        "redirect_connector",
        "Connector of redirect",
        "redirect",
        "redirect",
        ("connector",),
        ("part_of_block",),
    ),
    Role("redirect_sling", "Sling of redirect", "redirect", "redirect", ("sling",), ("fixed_to_anchor",)),
    Role("redirect_anchor", "Anchor of redirect", "redirect", "redirect", ANCHOR_KINDS),
    Role("tension_gauge", "Tension gauge", "gauge", "gauge", ("gauge",)),
    Role("gauge_connector", "Connector of the gauge", "gauge", "gauge_optional", ("connector",)),
    Role("side_line", "Side line", "side_bollard_tension", "side", ("rope",), group="side"),
    Role("side_sling", "Sling of the side line", "side_tension", "side", ("sling",), ("tied_direct",), "side"),
    Role("side_bollard", "Bollard of the side line", "side_bollard_tension", "side", ("bollard",), group="side"),
    Role("side_anchor", "Anchor of the side line", "side_bollard_tension", "side", ANCHOR_KINDS, group="side"),
    Role(
        "side_redirect_block",
        "Side redirect block",
        "side_redirect",
        "side_redirect",
        ("block", "ring"),
        group="side",
    ),
    Role(
        "side_redirect_sling",
        "Sling of side redirect",
        "side_redirect",
        "side_redirect",
        ("sling",),
        ("fixed_to_anchor",),
        "side",
    ),
    Role(
        "side_redirect_anchor",
        "Anchor of side redirect",
        "side_redirect",
        "side_redirect",
        ANCHOR_KINDS,
        group="side",
    ),
    Role("restraint_line", "Restraint line", "restraint_peak", "restraint", ("rope",), group="restraint"),
    Role(
        "restraint_sling",
        "Sling of the restraint line",
        "restraint_peak",
        "restraint",
        ("sling",),
        ("tied_direct",),
        "restraint",
    ),
    Role(
        "restraint_bollard",
        "Bollard of the restraint line",
        "restraint_peak",
        "restraint",
        ("bollard",),
        group="restraint",
    ),
    Role(
        "restraint_anchor",
        "Anchor of the restraint line",
        "restraint_peak",
        "restraint",
        ANCHOR_KINDS,
        group="restraint",
    ),
)

# Ropes that run over a drum or grip a host rope: polypropylene melts there.
HEATED_ROPE_ROLES = frozenset({"main_line", "hitch_cord", "side_line", "restraint_line"})

_BY_NAME = {role.name: role for role in ROLES}
_NUMBERED_NAME = re.compile(r"(?P<base>[a-z_]+)_(?P<number>[1-9][0-9]{0,2})")


# Every JSON name of a role, for a schema.
ROLE_PATTERN = (
    f"^({'|'.join(role.name for role in ROLES if not role.is_numbered)}"
    f"|({'|'.join(role.name for role in ROLES if role.is_numbered)})_[1-9][0-9]{{0,2}})$"
)


@lru_cache(maxsize=1024)
def find_role(name: str) -> Role | None:
    """The role a JSON name stands for ("redirect_block_2" included), or None where there is no such role."""
    plain = _BY_NAME.get(name)
    if plain is not None:
        return None if plain.is_numbered else plain
    match = _NUMBERED_NAME.fullmatch(name)
    if match is None:
        return None
    numbered = _BY_NAME.get(match["base"])
    return numbered if numbered is not None and numbered.is_numbered else None


def role_number(name: str) -> int | None:
    """The redirect's number (from 1) a role's name ends in, or None for a role that is there once."""
    role = find_role(name)
    return int(name.rsplit("_", 1)[1]) if role is not None and role.is_numbered else None


def role_title(name: str) -> str:
    """Plain words for a role's JSON name; the name itself where there is no such role."""
    role = find_role(name)
    if role is None:
        return name
    number = role_number(name)
    return role.title if number is None else f"{role.title} {number}"
