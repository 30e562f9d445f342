"""The list that apps add themselves to."""

from crewlog.registry import Registry


def test_entries_stand_in_the_order_they_were_added_and_each_once():
    listed: Registry[str] = Registry()
    listed.add("gear", "jobs")
    listed.add("jobs", "crewlog", "gear")
    assert list(listed) == ["gear", "jobs", "crewlog"]


def test_a_list_nobody_added_to_is_empty():
    assert list(Registry()) == []


def test_two_lists_do_not_share_their_entries():
    one: Registry[str]
    other: Registry[str]
    one, other = Registry(), Registry()
    one.add("gear")
    assert list(other) == []
