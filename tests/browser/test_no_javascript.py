"""Every step of the main path goes without JavaScript."""

from tests.browser.journey import from_drop_to_paper


def test_lead_cures_a_refused_sheet_and_issues_it_without_javascript(open_page):
    page = open_page("/", java_script_enabled=False)
    from_drop_to_paper(page)


def test_plan_is_worked_out_by_its_button_without_javascript(open_page, rows):
    page = open_page(f"/stems/{rows['stem_withdrawn']}/plan/", who="lead", java_script_enabled=False)
    page.locator("form summary").filter(has_text="Wind").click()
    assert page.get_by_role("heading", name="Refused").count() == 0
    gust = page.get_by_label("Strongest gust")
    gust.fill("60 mph")
    page.get_by_role("button", name="Work it out").click()
    page.get_by_role("heading", name="Refused").first.wait_for()
