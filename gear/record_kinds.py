"""Kinds of record that gear appends without a table of their own. One that is no longer written stays listed."""

from crewlog.evidence.kinds import RecordKind

ITEM = "gear.gearitem"

RECORD_KINDS = (
    RecordKind("gear.class-limit-set", about_no_row="the company's limit for a class of gear"),
    RecordKind("gear.fact-check-set", about_no_row="who checks changes of facts in the company"),
    RecordKind("gear.interval-changed", key="rule", model="gear.schemerule"),
    RecordKind("gear.item-changed", key="item", model=ITEM),
    RecordKind("gear.item-registered", key="item", model=ITEM),
    RecordKind("gear.list-brought-in", about_no_row="a whole list; each of its items has a record of its own"),
    RecordKind("gear.scheme-rule-added", about_no_row="it says the whole rule and no key of it"),
    RecordKind("gear.scheme-switched", about_no_row="it names the scheme, which is the company's, by its name"),
)
