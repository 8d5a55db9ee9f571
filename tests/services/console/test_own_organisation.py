"""What owners decide about their organisation on a page, and which sign-in is good for it."""

from __future__ import annotations

import re
from typing import Any

from django.test import Client

from services.tenancy.models import Organisation
from tests.services.access.test_second_factor import real, set_up  # noqa: F401
from tests.services.console.browse import PASSWORD, browser, looked_at, page
from tests.support.api import ApiClient
from tests.support.cast import Cast

HERE = "organisation"


def required(cast: Cast) -> bool:
    with cast.inside():
        return bool(Organisation.objects.get(id=cast.org.id).staff_second_factor)


def tag_of(answer: Any) -> str:
    found = re.search(r'name="tag" value="&quot;(.+?)&quot;"', answer.content.decode())
    assert found is not None
    return f'"{found[1]}"'


def test_who_has_a_second_factor_may_ask_it_of_the_staff(real: Cast) -> None:  # noqa: F811
    """On and off again, by a button; what holds stands there."""
    set_up(real.owner)
    client, path = browser(real.owner), page(real, HERE)
    before = client.get(path)
    assert "may work here with a password alone" in looked_at(before).text
    done = client.post(path, {"wanted": "yes", "tag": tag_of(before)})
    assert (done.status_code, done.url, required(real)) == (302, path, True)
    after = client.get(path)
    assert "with a second factor only" in looked_at(after).text
    assert client.post(path, {"wanted": "no", "tag": tag_of(after)}).status_code == 302
    assert not required(real)


def test_who_has_none_is_not_shut_out_by_a_slip(real: Cast) -> None:  # noqa: F811
    """No button, and what to do first; sent all the same it is refused, and nothing changes."""
    client, path = browser(real.owner), page(real, HERE)
    text = looked_at(client.get(path)).text
    assert "sign in with one yourself" in text and "Ask the staff" not in text
    tag = ApiClient(real.owner.token).get(f"/api/v1/organisations/{real.org.id}").headers["ETag"]
    refused = client.post(path, {"wanted": "yes", "tag": tag})
    assert refused.status_code == 403
    assert "Nothing was changed. Sign in with a second factor of your own first" in looked_at(refused).text
    assert not required(real)


def test_who_comes_second_decides_anew(real: Cast) -> None:  # noqa: F811
    """What somebody else changed meanwhile is not overwritten unseen."""
    set_up(real.owner)
    client, path = browser(real.owner), page(real, HERE)
    tag = tag_of(client.get(path))
    assert client.post(path, {"wanted": "yes", "tag": tag}).status_code == 302
    second = client.post(path, {"wanted": "no", "tag": tag})
    assert second.status_code == 412
    assert "Somebody else changed something meanwhile" in looked_at(second).text
    assert required(real)


def test_a_sign_in_of_thirty_days_does_not_open_it(real: Cast) -> None:  # noqa: F811
    """It is for everyday work, which the page says; one for today is good for all that the owner may do."""
    told = {"email": real.owner.person.email, "password": PASSWORD}
    stays, today = Client(), Client()
    assert stays.post("/sign-in", {**told, "stay": "on"}).status_code == 302
    assert stays.get(page(real, "today")).status_code == 200
    for name in (HERE, "health-reads"):
        refused = stays.get(page(real, name))
        assert refused.status_code == 403
        assert "sign in for today alone" in looked_at(refused).text
    assert today.post("/sign-in", told).status_code == 302
    for name in (HERE, "health-reads"):
        assert today.get(page(real, name)).status_code == 200


def test_the_way_to_it_is_shown_to_owners(real: Cast) -> None:  # noqa: F811
    for member, shown in ((real.owner, True), (real.coach, False), (real.athlete, False)):
        links = looked_at(browser(member).get(page(real, "today"))).links
        assert (page(real, HERE) in links) is shown
