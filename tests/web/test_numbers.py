"""What pages send back is plain: a revision over a thousand has no comma in a hidden field."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from django.urls import reverse

from tests.plan.small_cabin import CUSHION
from tests.web.decided import keep_plan
from trimwright.web.jobs.models import JobRecord, Revision

pytestmark = pytest.mark.django_db

FAR = 1234
FIELD = re.compile(r'name="(?:revision|old|new)" value="([^"]*)"|data-revision="([^"]*)"')


@pytest.mark.parametrize(
    ("view", "more"),
    [
        ("verdicts", ()),
        ("verdict_part", (CUSHION,)),
        ("walk_round", ()),
        ("survey_part", (CUSHION,)),
        ("add_part", ()),
        ("equipment", ()),
        ("history", ()),
        ("quote", ()),
        ("buying", ()),
        ("strip_down", ()),
        ("found_here", ()),
        ("intake", ()),
    ],
)
def test_a_revision_over_a_thousand_is_sent_back_as_it_is(
    client: Client, key: str, view: str, more: tuple[str]
) -> None:
    Revision.objects.filter(job__key=key).update(number=FAR)
    JobRecord.objects.filter(key=key).update(revision=FAR)
    keep_plan(key)
    page = client.get(reverse(view, args=[key, *more]))
    assert page.status_code == 200
    sent = [one or other for one, other in FIELD.findall(page.content.decode())]
    assert sent
    assert set(sent) == {str(FAR)}
