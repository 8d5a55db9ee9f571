"""Entity tags: who changes says what he has seen, and the database compares."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from services.api import conditional
from services.problems import BadRequest, PreconditionFailed
from services.tenancy.models import Location
from tests.services.api import sample
from tests.support.api import ApiClient, assert_problem


@pytest.fixture
def owner(cast):
    return ApiClient(cast.owner.token, sample.document())


@pytest.fixture
def path(cast):
    return f"/api/v1/organisations/{cast.org.id}/places/{cast.harbour.id}"


pytestmark = pytest.mark.urls("tests.services.api.sample")


@pytest.mark.django_db
class TestRequests:
    def test_a_change_raises_the_version(self, cast, owner, path):
        """The tag of the answer is the one of the next read."""
        tag = owner.get(path).headers["ETag"]
        assert tag == f'"{cast.harbour.id}-1"'
        changed = owner.patch(path, {"name": "Harbour North"}, if_match=tag)
        assert (changed.status_code, changed.json()["version"]) == (200, 2)
        assert changed.headers["ETag"] == owner.get(path).headers["ETag"] != tag

    def test_an_unseen_change_is_refused_with_the_current_tag(self, cast, owner, path):
        """The second of two writers that read the same version gets 412, and the first one's value stays."""
        tag = owner.get(path).headers["ETag"]
        newer = owner.patch(path, {"name": "First"}, if_match=tag).headers["ETag"]
        refused = owner.patch(path, {"name": "Second"}, if_match=tag)
        assert_problem(refused, "precondition_failed", 412)
        assert refused.headers["ETag"] == newer
        assert owner.get(path).json()["name"] == "First"

    @pytest.mark.parametrize("method", ["patch", "delete"])
    def test_a_change_without_if_match_is_refused(self, owner, path, method):
        """428, before the body is looked at."""
        assert_problem(getattr(owner, method)(path), "precondition_required", 428)

    def test_strong_comparison_and_lists(self, owner, path):
        """If-Match ignores weak tags; `*` and a list with the right tag match."""
        tag = owner.get(path).headers["ETag"]
        assert_problem(owner.patch(path, {"name": "W"}, if_match=f"W/{tag}"), "precondition_failed", 412)
        assert_problem(owner.patch(path, {"name": "W"}, if_match="nonsense"), "bad_request", 400)
        assert owner.patch(path, {"name": "L"}, if_match=f'"other", {tag}').status_code == 200
        assert owner.patch(path, {"name": "S"}, if_match="*").status_code == 200

    def test_a_known_version_is_not_sent_again(self, owner, path):
        """If-None-Match: 304 without body, by weak comparison; another tag gets the whole."""
        tag = owner.get(path).headers["ETag"]
        for sent in (tag, f"W/{tag}", "*", f'"x", {tag}'):
            unchanged = owner.get(path, headers={"If-None-Match": sent})
            assert (unchanged.status_code, unchanged.headers["ETag"]) == (304, tag)
        assert owner.get(path, headers={"If-None-Match": '"x"'}).status_code == 200

    def test_a_deletion_compares_too(self, cast, owner, path):
        """An old tag deletes nothing, the current one does."""
        path = path.replace(str(cast.harbour.id), str(cast.remote.id))
        tag = owner.get(path).headers["ETag"]
        assert_problem(owner.delete(path, if_match='"x-1"'), "precondition_failed", 412)
        assert owner.delete(path, if_match=tag).status_code == 204
        assert_problem(owner.get(path), "not_found", 404)


@pytest.mark.django_db
def test_the_statement_itself_compares(cast):
    """A version that moved between the read and the UPDATE or DELETE is found by that statement."""
    with cast.inside():
        seen = Location.objects.get(pk=cast.mill.id)
        Location.objects.filter(pk=cast.mill.id).update(version=2, name="Moved")
        with pytest.raises(PreconditionFailed) as caught:
            conditional.update_versioned(seen, 1, name="Lost")
        assert caught.value.headers == {"ETag": f'"{cast.mill.id}-2"'}
        assert Location.objects.get(pk=cast.mill.id).name == "Moved"
        with pytest.raises(PreconditionFailed):
            conditional.delete_versioned(seen, 1)
        assert Location.objects.filter(pk=cast.mill.id).exists()


@given(st.text(max_size=40))
def test_any_header_is_parsed_or_refused(header):
    """No text raises anything but BadRequest, and what is parsed is quoted."""
    try:
        tags = conditional.parse_tags(header)
    except BadRequest:
        return
    assert tags
    assert all(tag == "*" or (tag[0] == tag[-1] == '"' and len(tag) >= 2) for _, tag in tags)
