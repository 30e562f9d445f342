"""The order of a load path: from the stem outward, then the back-up, the side line and the restraint."""

from jobs.mechanics.roles import ROLES, Role, find_role
from jobs.models import PullPlan
from jobs.models.plan import Gauge

FROM_THE_STEM = (
    "stem_sling",
    "stem_connector",
    "main_line",
    "redirect_block",
    "redirect_connector",
    "redirect_sling",
    "redirect_anchor",
    "tension_gauge",
    "gauge_connector",
    "rope_grab",
    "hitch_cord",
    "hitch_connector",
    "moving_block",
    "tackle_rope",
    "cleat",
    "fixed_block",
    "fixed_block_connector",
    "anchor_sling",
    "anchor",
    "bollard",
    "bollard_sling",
    "bollard_anchor",
    "side_sling",
    "side_line",
    "side_redirect_block",
    "side_redirect_sling",
    "side_redirect_anchor",
    "side_bollard",
    "side_anchor",
    "restraint_sling",
    "restraint_line",
    "restraint_bollard",
    "restraint_anchor",
)
BACK_UP = ("bollard", "bollard_sling", "bollard_anchor")
GROUP_TITLES = {"pull": "Pull line", "back_up": "Back-up", "side": "Side line", "restraint": "Restraint line"}

# Every role of the mechanics has a place here; a new one without a place stops the start of the program.
_BY_NAME = {role.name: role for role in ROLES}
if sorted(FROM_THE_STEM) != sorted(_BY_NAME):
    raise RuntimeError("a role of the load path has no place in its order")


def group_of(name: str) -> str:
    """Which rope of page and paper a position hangs on."""
    role = find_role(name)
    if role is None:
        raise LookupError(f"there is no position {name!r}")
    return "back_up" if role.name in BACK_UP else role.group


def path_roles(plan: PullPlan, redirects: int, side_redirects: int) -> tuple[str, ...]:
    """Positions of this plan's load path in order from the stem, optional ones included."""
    names: list[str] = []
    block: list[Role] = []
    for name in FROM_THE_STEM:
        role = _BY_NAME[name]
        if role.is_numbered:
            block.append(role)
            continue
        names += numbered_roles(block, redirects, side_redirects)
        block = []
        if is_on_path(role, plan):
            names.append(name)
    return tuple(names)


def numbered_roles(block: list[Role], redirects: int, side_redirects: int) -> list[str]:
    """Positions of redirects, one redirect after the other."""
    if not block:
        return []
    count = side_redirects if block[0].need == "side_redirect" else redirects
    return [role.numbered(number) for number in range(1, count + 1) for role in block]


def is_on_path(role: Role, plan: PullPlan) -> bool:
    match role.need:
        case "gauge" | "gauge_optional":
            return plan.tension_gauge != Gauge.NONE
        case "side" | "side_redirect":
            return plan.side_line
        case "restraint":
            return plan.restraint
        case _:
            return True
