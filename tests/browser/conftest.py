from tests.browser.my_fixtures import chromium, mine, site  # noqa: F401
