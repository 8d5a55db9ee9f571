"""Templates copied, put aside and compared; drafts checked without storing anything."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from programming.actions.templates import (
    archive_template,
    copy_template,
    create_template,
    publish_revision,
    restore_template,
    update_template,
)
from programming.errors import TemplateArchived
from programming.models import Template
from services.api.models import IdempotencyKey
from services.problems import Invalid
from tests.programming.support import base, body, client, draft, published, stocked
from tests.programming.test_local_versions import made, republished
from tests.support.api import assert_problem
from tests.support.cast import Cast, make_cast
from tests.support.pointers import WORK


def test_a_copy_knows_where_it_is_from(cast: Cast) -> None:
    """From the draft as it is, or from a revision as it was; changing one changes nothing of the other."""
    stocked(cast)
    with cast.inside():
        actor, origin = cast.coach.actor, published(cast)
        template = Template.objects.get(id=origin.template_id)
        template = update_template(
            actor=actor, template=template, version=template.version, draft=draft(title="Later")
        )
        now = copy_template(actor=actor, template=template, name="Now")
        then = copy_template(actor=actor, template=template, name="Then", revision_id=origin.id)
        assert (now.copied_from_id, now.copied_revision_id, now.draft) == (template.id, None, template.draft)
        assert (then.copied_from_id, then.copied_revision_id) == (template.id, origin.id)
        assert then.draft == origin.document != template.draft
        update_template(actor=actor, template=now, version=1, draft={"title": "Own"})
        assert Template.objects.get(id=template.id).draft == draft(title="Later")
        other = published(cast, draft(title="Else"))
        with pytest.raises(Invalid) as caught:
            copy_template(actor=actor, template=template, name="No", revision_id=other.id)
        assert [e.pointer for e in caught.value.errors] == ["#/revision"]


def test_what_is_put_aside_rests_until_it_is_taken_up(cast: Cast) -> None:
    """Neither changed nor published, and out of the list; twice is once in both directions; a copy is free."""
    stocked(cast)
    with cast.inside():
        actor = cast.coach.actor
        kept = create_template(actor=actor, name="Kept", draft=draft())
        row = create_template(actor=actor, name="Aside", draft=draft())
        aside = archive_template(actor=actor, template=row)
        again = archive_template(actor=actor, template=aside)
        assert (aside.version, again.version, again.archived_at) == (2, 2, aside.archived_at)
        with pytest.raises(TemplateArchived):
            update_template(actor=actor, template=aside, version=2, name="Other")
        with pytest.raises(TemplateArchived):
            publish_revision(actor=actor, template=aside, version=2)
        free = copy_template(actor=actor, template=aside, name="Free")
        publish_revision(actor=actor, template=free, version=1)
    caller, path = client(cast.coach), f"{base(cast)}/templates"

    def listed(**query: str) -> set[str]:
        return {row["id"] for row in body(caller.get(path, query=query))["items"]}

    assert listed() == {str(kept.id), str(free.id)} == listed(archived="false")
    assert listed(archived="true") == {str(row.id)}
    restored = body(caller.post(f"{path}/{row.id}/restore"))
    assert (restored["archived_at"], restored["version"]) == (None, 3)
    assert body(caller.post(f"{path}/{row.id}/restore"))["version"] == 3
    assert listed(archived="true") == set() and len(listed()) == 3
    with cast.inside():
        assert restore_template(actor=actor, template=Template.objects.get(id=row.id)).version == 3
        publish_revision(actor=actor, template=Template.objects.get(id=row.id), version=3)


def test_copy_and_archive_over_http(cast: Cast) -> None:
    """The copy is at its own address; an archived one says how to go on; athletes see no drafts."""
    stocked(cast)
    with cast.inside():
        origin = published(cast)
    caller, path = client(cast.owner), f"{base(cast)}/templates/{origin.template_id}"
    sent = {"name": "Copy", "revision": str(origin.id)}
    response = caller.post(f"{path}/copies", json=sent)
    copied = body(response, 201)
    assert (copied["copied_from"], copied["copied_revision"]) == (str(origin.template_id), str(origin.id))
    assert body(caller.get(response.headers["Location"]))["name"] == "Copy"
    archived = caller.post(f"{path}/archive")
    assert body(archived)["archived_at"]
    refused = caller.patch(path, json={"name": "Other"}, if_match=archived.headers["ETag"])
    assert_problem(refused, "template_archived", 409)
    assert_problem(client(cast.athlete).post(f"{path}/copies", json=sent), "forbidden", 403)


def test_a_document_is_checked_and_nothing_is_stored(cast: Cast) -> None:
    """Problems with pointers into the body, none for a session; not even an idempotency key stays."""
    stocked(cast)
    caller, path = client(cast.staff), f"{base(cast)}/template-checks"
    assert body(caller.post(path, json={"document": draft()}))["problems"] == []
    broken: dict[str, Any] = copy.deepcopy(draft())
    broken["blocks"][0]["work"][1]["movement"] = "moonwalk"
    broken["blocks"][0]["aim"]["conditions"][0]["lower"] = 30
    found = body(caller.post(path, json={"document": broken}))["problems"]
    assert {(one["pointer"], one["code"]) for one in found} == {
        (f"#/document/blocks/0/{WORK}/1/movement", "unknown_movement"),
        ("#/document/blocks/0/aim/conditions/0", "window_reversed"),
    }
    assert_problem(caller.post(path, json={"document": []}), "invalid_input", 400, at="#/document")
    with cast.inside():
        assert not Template.objects.exists()
        assert not IdempotencyKey.objects.exists()


def test_what_was_changed_between_two_revisions(cast: Cast) -> None:
    """Against the one before, a named one, or the origin of a local version; in sentences."""
    stocked(cast)
    with cast.inside():
        first = published(cast)
        republished(cast, first, title="Harbour seventy")
        third = republished(cast, first, title="Harbour eighty", quality="aerobic_power")
        own = made(cast, cast.harbour, first, document=draft(title="Ours"))
    caller = client(cast.staff)

    def said(revision: Any, **query: str) -> list[str]:
        path = f"{base(cast)}/revisions/{revision}/differences"
        return [one["sentence"] for one in body(caller.get(path, query=query))["items"]]

    assert said(third.id) == [
        "The title is now Harbour eighty, before Harbour seventy.",
        "The quality is now aerobic power, before local muscular endurance.",
    ]
    assert (
        said(third.id, against=str(first.id))[0] == "The title is now Harbour eighty, before Harbour sixty."
    )
    assert said(first.id, against=str(first.id)) == []
    assert said(own.revision_id) == ["The title is now Ours, before Harbour sixty."]
    rival = stocked(make_cast("Rivals"))
    with rival.inside():
        theirs = published(rival)
    path = f"{base(cast)}/revisions/{{}}/differences"
    for query, code in (
        ({}, "required"),
        ({"against": "soon"}, "invalid"),
        ({"against": str(theirs.id)}, "unknown_reference"),
    ):
        answer = caller.get(path.format(first.id), query=query)
        problem = assert_problem(answer, "invalid_input", 400, at="against")
        assert [error["code"] for error in problem["errors"]] == [code]
    assert_problem(caller.get(path.format(theirs.id)), "not_found", 404)
    assert_problem(client(cast.athlete).get(path.format(third.id)), "forbidden", 403)
