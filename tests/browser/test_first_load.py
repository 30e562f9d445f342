"""What a first visit costs on a weak signal: requests and bytes over the wire of each main page, nothing kept before.

Once from the sources, as the demo and a developer run it, and once as a live site: collected, hashed, behind a proxy
that ends TLS. The worker of rounds and the pages it fetches ahead come after the page is drawn and are not counted.
"""

import subprocess
import sys

import pytest

from tests.browser.conftest import BY_NAME, DESK, ROOT, environment, free_port, served

MOST_REQUESTS = 10
MOST_BYTES = 300_000
MAIN_PAGES = (
    "sign in", "today", "jobs", "job", "stem", "plan", "load path", "sheet issued", "store", "item", "inspect",
    "rounds", "round", "crew", "person", "records", "company",
)  # fmt: skip


def live(folder, database, address):
    """The environment of a live site whose static files were collected."""
    env = environment(
        folder, database, CREWLOG_LOCAL="no", CREWLOG_ADDRESS=address, CREWLOG_ORIGINS=address, CREWLOG_PROXIES="1"
    )
    collect = [sys.executable, "manage.py", "collectstatic", "--noinput", "-v", "0"]
    done = subprocess.run(collect, cwd=ROOT, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return env


@pytest.fixture(scope="module", params=["from the sources", "collected"])
def site(request, site_database):
    folder, address = site_database.parent, f"http://127.0.0.1:{free_port()}"
    if request.param == "collected":
        env = live(folder, site_database, address)
    else:
        env = environment(folder, site_database, CREWLOG_ADDRESS=address, CREWLOG_ORIGINS=address)
    with served(folder, address, env):
        yield address


@pytest.fixture
def first_load(open_page, rows):
    """A function that opens a page as nobody did before on this device, and gives its requests with their bytes."""
    signed_in: set[str | None] = {None}

    def load(name):
        who, address = BY_NAME[name]
        behind_proxy = {"viewport": DESK, "extra_http_headers": {"X-Forwarded-Proto": "https"}}
        if who not in signed_in:
            open_page("/more/", who=who, **behind_proxy)
            signed_in.add(who)
        page = open_page("about:blank", who=who, **behind_proxy)
        page.add_init_script("delete Navigator.prototype.serviceWorker")  # it would ask without the proxy's header
        finished = []
        page.on("requestfinished", lambda request: finished.append(request))
        page.goto(address.format(**rows))
        page.wait_for_load_state("networkidle")
        page.evaluate("() => document.fonts.ready")
        sizes = [request.sizes() for request in finished]
        return [
            (request.url, size["responseHeadersSize"] + size["responseBodySize"])
            for request, size in zip(finished, sizes, strict=True)
        ]

    return load


def test_first_load_of_each_main_page_is_ten_requests_and_300_kb_at_most(first_load):
    faults = []
    for name in MAIN_PAGES:
        asked = first_load(name)
        size = sum(each for _, each in asked)
        print(f"{name}: {len(asked)} requests, {size / 1000:.0f} kB")
        assert any("FiraSans" in address for address, _ in asked), name
        if len(asked) > MOST_REQUESTS or size > MOST_BYTES:
            faults.append(f"{name}: {len(asked)} requests, {size} bytes: {asked}")
    assert not faults, "\n".join(faults)
