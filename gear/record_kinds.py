"""Kinds of record that gear appends without a table of their own. One that is no longer written stays listed."""

RECORD_KINDS = (
    "gear.class-limit-set",
    "gear.fact-check-set",
    "gear.interval-changed",
    "gear.item-changed",
    "gear.item-registered",
    "gear.list-brought-in",
    "gear.scheme-rule-added",
    "gear.scheme-switched",
)
