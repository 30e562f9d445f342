"""The record: a chain for each company to which is only appended, its guards in the database, and its verification."""

from crewlog.evidence.canonical import canonical_json, to_plain
from crewlog.evidence.chain import (
    FIRST,
    Entry,
    append,
    append_all,
    chain_head,
    chain_length,
    last_link,
    name_digests,
    next_link,
    record_hash,
)
from crewlog.evidence.kinds import KINDS, RecordKind, evidence_models, known_kinds
from crewlog.evidence.rows import append_row, append_rows, columns, matches_record, null_columns
from crewlog.evidence.subjects import about, rebuild_subjects
from crewlog.evidence.verification import Verdict, verify

__all__ = [
    "FIRST",
    "KINDS",
    "Entry",
    "RecordKind",
    "Verdict",
    "about",
    "append",
    "append_all",
    "append_row",
    "append_rows",
    "canonical_json",
    "chain_head",
    "chain_length",
    "columns",
    "evidence_models",
    "known_kinds",
    "last_link",
    "matches_record",
    "name_digests",
    "next_link",
    "null_columns",
    "rebuild_subjects",
    "record_hash",
    "to_plain",
    "verify",
]
