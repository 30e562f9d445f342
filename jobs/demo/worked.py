"""What the demo's gear did before it came into the program: parts of tackle sets, and loads from paper sheets."""

from collections.abc import Iterator

from crewlog.evidence import Entry
from gear.loads.services import Load, record_loads
from gear.sets.services import put_in, swap_part
from jobs.demo.scenario import Cast, Facts, Happening


def typed_in(cast: Cast, day: int) -> Entry:
    return Entry(actor=cast.members["owner"].person, happened_at=cast.moment(day, 12), from_paper=True)


def part_change(cast: Cast, facts: Facts) -> Happening:
    """A part put into a set, before the set's examination of that day, or swapped."""
    owner, day = cast.members["owner"], cast.day(facts["day"])
    tackle, part = cast.items[facts["set"]], cast.items[facts["in"]]
    entry, because = typed_in(cast, facts["day"]), facts["words"]
    if "out" not in facts:
        return Happening(day, -1, part.tag, lambda: put_in(
            actor=owner, assembly=tackle, part=part, on=day, because=because, entry=entry
        ))  # fmt: skip
    gone = cast.items[facts["out"]]
    return Happening(day, -1, part.tag, lambda: swap_part(
        actor=owner, assembly=tackle, out=gone, in_=part, on=day, because=because, entry=entry
    ))  # fmt: skip


def loads(cast: Cast, said: Facts) -> Iterator[Happening]:
    """A paper sheet's day: the line read or not, and what hung in it."""
    for facts in said.get("days", ()):
        yield loads_of(cast, said, facts)


def loads_of(cast: Cast, said: Facts, facts: Facts) -> Happening:
    day = cast.day(facts["day"])
    carried = [load_of(cast, said, tag, facts["tension_n"]) for tag in said["carried"]]
    return Happening(day, 1, "loads", lambda: record_loads(
        actor=cast.members["owner"],
        loads=carried,
        on=day,
        reference=facts["sheet"],
        entry=typed_in(cast, facts["day"]),
    ))  # fmt: skip


def load_of(cast: Cast, said: Facts, tag: str, tension_n: float | None) -> Load:
    """The line and the cell as read; what hung beside them by its part of the line's tension."""
    item, gauge = cast.items[tag], cast.items[said["gauge"]]
    position, share = said["carried"][tag]
    if tension_n is None:
        return Load(item=item, source="not_measured", position=position)
    facts: Facts = {"position": position, "peak_n": tension_n * share, "limit_n": item.working_limit_n}
    words = f"Line read at {tension_n / 1000:.2f} kN with {gauge.tag}"
    if tag in (said["gauge"], "R-01"):
        return Load(item=item, source="measured", gauge=gauge, basis=f"{words}.", **facts)
    return Load(item=item, source="derived", basis=f"{words}; worked out on the paper sheet.", **facts)
