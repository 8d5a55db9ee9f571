"""What is not believed tells nothing, and the database says the same of it as the rule does."""

import pytest
from django.db.models import Exists

from scoring.believed import WITHHELD, codes_of, is_believed, unbelieved_reviews
from scoring.calc.finding import CODES
from scoring.models import Attempt, Review
from tests.scoring.test_main_job import log, submit
from tests.support.world import add_athlete, make_world


def test_what_is_withheld_can_be_found() -> None:
    """A code that no finding has would withhold nothing."""
    assert WITHHELD <= CODES


@pytest.mark.django_db
def test_the_database_says_the_same() -> None:
    """Refused: no; doubted: not before somebody accepted it; of anything else: yes."""
    world = make_world()
    add_athlete(world, "Bruna Keel", 62.0, {})
    attempt = submit(world, "Bruna Keel", log(("a", "row_45", 60, "planned"), elapsed_s=600.0))
    with world.cast.inside():
        review = Review(org_id=world.cast.org.id, attempt_id=attempt.id, findings=[])
        review.save(force_insert=True)
        said = {}
        for codes in ([], ["ended_by_pain"], ["ended_by_pain", "unknown_work"]):
            for accepted in (None, True, False):
                review.findings = [{"code": code, "detail": "Ask."} for code in codes]
                Review.objects.filter(id=review.id).update(findings=review.findings, accepted=accepted)
                stored = Attempt.objects.filter(~Exists(unbelieved_reviews("id"))).exists()
                assert stored is is_believed(accepted, codes_of(review)), (codes, accepted)
                said["unknown_work" in codes, accepted] = stored
    assert said == {
        (False, None): True,
        (False, True): True,
        (False, False): False,
        (True, None): False,
        (True, True): True,
        (True, False): False,
    }
