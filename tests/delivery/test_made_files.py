"""What is made from sources is found like any static file, follows its sources, and never half written."""

from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.test import override_settings

from crewlog.delivery.finder import STYLESHEET, MadeFinder
from crewlog.delivery.stylesheet import joined, stylesheet


def test_stylesheet_holds_the_rules_of_every_app_and_imports_nothing():
    css = stylesheet()
    assert "@import" not in css
    assert css.startswith("@layer reset, tokens, elements, layout, components, print;")
    for rule in (".round-form", ".rowset__row", ".button", "@page"):
        assert rule in css
    assert css.count("{") == css.count("}")


def test_an_imported_file_stands_in_its_place_and_layer(tmp_path):
    (tmp_path / "part.css").write_text("/* why */\na { color: red; }\n", encoding="utf-8")
    whole = tmp_path / "whole.css"
    whole.write_text('b { margin: 0; }\n@import url("part.css") layer(components);\n', encoding="utf-8")
    assert joined(whole) == "b { margin: 0; }\n@layer components {\na { color: red; }\n}\n"


def test_a_stylesheet_that_is_not_there_is_named(tmp_path):
    whole = tmp_path / "whole.css"
    whole.write_text('@import url("gone.css");\n', encoding="utf-8")
    with pytest.raises(FileNotFoundError, match="gone"):
        joined(whole)


def test_a_text_that_no_longer_says_what_its_sources_say_is_written_again(tmp_path):
    with override_settings(MADE_DIR=tmp_path):
        finder = MadeFinder()
    path = Path(finder.find(STYLESHEET))
    right = path.read_bytes()
    path.write_bytes(b"old")
    assert Path(finder.find(STYLESHEET)).read_bytes() == right


def test_what_is_made_is_kept_where_the_settings_say_and_nothing_is_left_beside_it(tmp_path):
    with override_settings(MADE_DIR=tmp_path):
        found = MadeFinder().find(STYLESHEET)
    assert [str(path) for path in tmp_path.rglob("*") if path.is_file()] == [found]


def test_a_missing_package_is_named_by_the_checks(monkeypatch):
    assert MadeFinder().check() == []
    monkeypatch.setattr("crewlog.delivery.finder.find_spec", lambda name: None)
    (fault,) = MadeFinder().check()
    assert "brotli" in fault.msg


def test_a_name_of_no_made_file_is_not_found():
    assert finders.find("crewlog/styles/tokens.css") is None
    assert finders.find("crewlog/crewlog.txt") is None
