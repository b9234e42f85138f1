"""The Verdicts stage as a person meets it: what is shown of a plan, what is sent, and what each change becomes."""

from __future__ import annotations

import html
import json
import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django.utils.html import escape
from pytest_django import DjangoAssertNumQueries

from tests.plan.small_cabin import BELT, CUSHION, KNOB, VISOR, small_job
from tests.web.conftest import LAPTOP
from tests.web.decided import answered_once, decided_once, keep_answer, keep_plan, newest
from trimwright.errors import Problem
from trimwright.facts import load
from trimwright.job.edits import EDIT, AddEntry, Edit, SetField, Together
from trimwright.papers.wording import text
from trimwright.web.jobs import store
from trimwright.web.jobs.answering import STAIRS, WHY
from trimwright.web.jobs.models import Answer, PlanRecord

pytestmark = pytest.mark.django_db

CARPET = "carpet"
LESS = SetField(path=("money", "sum"), value=100_000)
RIM_FREE = SetField(path=("parts", "rim", "pin"), value=None)


def fragment(target: str) -> dict[str, str]:
    return {"hx-request": "true", "hx-target": target}


def board(client: Client, key: str, **query: Any) -> str:
    return client.get(reverse("verdicts", args=[key]), query).content.decode()


def opened(client: Client, key: str, part: str) -> str:
    answer = client.get(reverse("verdict_part", args=[key, part]), headers=fragment("opened"))
    return answer.content.decode()


def choose(client: Client, key: str, part: str, do: str, course: str = "") -> Any:
    sent = {"revision": store.record(key).revision, "do": do, "course": course}
    return client.post(reverse("choose", args=[key, part]), sent)


def wish(client: Client, key: str, **wishes: str) -> Any:
    sent = {"revision": store.record(key).revision, **{name.replace("__", "."): each for name, each in wishes.items()}}
    return client.post(reverse("wishes", args=[key]), sent)


def plain_text(page: str) -> str:
    """What stands on a page, without tags, on one line."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", page))


# What is shown.


def test_while_nothing_is_decided_the_page_says_so_and_wishes_can_be_set(client: Client, key: str) -> None:
    page = board(client, key)
    assert "The verdicts are being decided" in page
    assert 'id="wishes"' in page
    assert 'class="cabin"' not in page


def test_every_part_stands_in_its_zone_with_its_verdict_and_figures(client: Client, key: str) -> None:
    keep_plan(key)
    page = board(client, key)
    for verdict in decided_once().plan.verdicts.verdicts:
        row = re.search(rf'id="row-{verdict.part}">(.*?)</li>', page, re.DOTALL)
        assert row, verdict.part
        told = plain_text(row[1])
        assert escape(verdict.name) in told
        if verdict.course is not None and verdict.settled_by is None:
            assert escape(verdict.course.name) in told
        assert re.search(rf"\b{verdict.finish_after}\b", told)
        assert ("pinned" in told) == verdict.pinned
    for zone in dict.fromkeys(each.zone for each in decided_once().plan.verdicts.verdicts):
        assert f"<h2>{escape(zone[0].upper() + zone[1:])}" in page


def test_a_page_of_a_stored_plan_asks_little_of_the_database(
    client: Client, key: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    plan = keep_plan(key)
    keep_answer(plan, STAIRS)
    with django_assert_max_num_queries(15):
        board(client, key)
    with django_assert_max_num_queries(15):
        client.get(reverse("verdict_part", args=[key, CUSHION]))


@pytest.mark.parametrize(
    ("colour", "told"), [("after", "finish 9"), ("now", "finish 3 now"), ("changed", "not changed")]
)
def test_the_cabin_plan_tells_what_its_colours_mean_and_leads_to_the_parts(
    client: Client, key: str, colour: str, told: str
) -> None:
    keep_plan(key)
    page = board(client, key, colour=colour)
    region = re.search(rf'<a [^>]*data-part="{CUSHION}"[^>]*>', page)
    assert region
    assert told in region[0]
    assert reverse("verdict_part", args=[key, CUSHION]) in region[0]
    assert f'colour={colour}"' in page
    assert told in board(client, key), "the choice is remembered"


def test_htmx_gets_the_part_alone_or_the_board_with_the_strip_and_going_back_the_whole_page(
    client: Client, key: str
) -> None:
    keep_plan(key)
    part = opened(client, key, CUSHION)
    assert part.strip().startswith('<section class="sheet part" id="opened"')
    again = client.get(reverse("verdicts", args=[key]), headers=fragment("board")).content.decode()
    assert "<html" not in again
    assert all(f'id="{each}"' in again for each in ("board", "strip", "undo"))
    back = client.get(
        reverse("verdict_part", args=[key, CUSHION]),
        headers={**fragment("board"), "hx-history-restore-request": "true"},
    )
    assert "<html" in back.content.decode()
    assert "HX-Request" in back["Vary"]


def test_a_part_that_is_not_there_is_told(client: Client, key: str) -> None:
    assert client.get(reverse("verdict_part", args=[key, "nothing"])).status_code == 404


def test_names_with_markup_are_shown_and_never_run(client: Client) -> None:
    raw = small_job().model_dump(mode="json")
    raw["parts"][0]["name"] = "<script>alert(1)</script>"
    key = store.start_job(type(small_job()).from_plain(raw), LAPTOP).key
    keep_plan(key)
    page = client.get(reverse("verdict_part", args=[key, CUSHION])).content.decode()
    assert "&lt;script&gt;alert(1)" in page
    assert "<script>alert" not in page


def test_what_is_spent_stands_beside_the_plan(client: Client, key: str) -> None:
    plan = keep_plan(key)
    result = PlanRecord.objects.get(pk=plan.pk).result
    assert result
    result["money"]["spent"] = {"money": 12_300, "minutes": 95}
    PlanRecord.objects.filter(pk=plan.pk).update(result=result)
    told = plain_text(board(client, key))
    assert "paid so far 123 of firm" in told
    assert "hours so far 1 h 35 of about" in told


def test_a_sum_that_is_short_is_told_with_what_must_be_paid(client: Client, key: str) -> None:
    edit = EDIT.dump_json(SetField(path=("money", "sum"), value=1000)).decode()
    store.edit_job(key, EDIT.validate_json(edit), LAPTOP, seen=1)
    keep_plan(key, decided_once(edit))
    short = decided_once(edit).plan.verdicts.short
    assert short is not None
    told = plain_text(board(client, key))
    assert "The sum or the hours are short" in told
    assert all(escape(each) in told for each in short.because)


# One part.


def test_an_opened_part_shows_every_way_with_its_working_and_where_the_figures_are_from(
    client: Client, key: str
) -> None:
    keep_plan(key)
    part = next(each for each in decided_once().plan.quantities.parts if each.part == CARPET)
    told = plain_text(opened(client, key, CARPET))
    for course in part.courses:
        assert escape(course.name) in told
        for worked in course.worked:
            assert plain_text(escape(str(worked))) in told
    for refused in part.refused:
        assert escape(refused.why) in told


def test_the_cautions_of_what_is_chosen_stand_open_on_the_page(client: Client, key: str) -> None:
    keep_plan(key)
    verdict = next(each for each in decided_once().plan.verdicts.verdicts if each.part == CUSHION)
    assert verdict.course is not None
    page = opened(client, key, CUSHION)
    box = re.search(r'<div class="caution cautions"><h3>Before your hand.*?</div>', page, re.DOTALL)
    assert box
    assert verdict.course.cautions
    for caution in verdict.course.cautions:
        assert escape(text(load().cautions[caution].text)) in box[0]


def test_a_belt_is_only_offered_what_may_be_done_to_what_holds_people(client: Client, key: str) -> None:
    keep_plan(key)
    offered = set(re.findall(r'name="course" value="([^"]+)"', opened(client, key, BELT)))
    assert offered
    assert all(load().treatments[each].on_restraint for course in offered for each in course.split("+"))


def test_opening_a_part_asks_why_and_the_answer_brings_prices_reasons_and_the_most_to_pay(
    client: Client, key: str
) -> None:
    plan = keep_plan(key)
    page = opened(client, key, CARPET)
    waiting = store.answer(plan.pk, WHY + CARPET)
    assert waiting is not None
    assert (waiting.state, waiting.urgent) == ("waiting", True)
    assert "is worked out next" in page
    polled = client.get(reverse("why_part", args=[key, CARPET]), headers=fragment("why"))
    assert "hx-trigger" in polled.content.decode()
    keep_answer(plan, WHY + CARPET)
    done = client.get(reverse("why_part", args=[key, CARPET]), headers=fragment("why"))
    assert (done["HX-Retarget"], done["HX-Reswap"]) == ("#opened", "outerHTML")
    told = plain_text(done.content.decode())
    others = answered_once(WHY + CARPET)["others"].values()
    assert others
    for other in others:
        for reason in other["reasons"]:
            assert escape(reason) in told
    worth = answered_once(WHY + CARPET)["worth"]
    assert told.count("Most to pay:") + told.count("Not worth having") == len(worth)


def test_an_answer_that_failed_says_so_and_is_asked_anew(client: Client, key: str) -> None:
    plan = keep_plan(key)
    store.end_answer(store.ask(plan.pk, WHY + CARPET, urgent=True).pk, None)
    assert "could not be worked out" in opened(client, key, CARPET)
    assert client.post(reverse("why_part", args=[key, CARPET])).status_code == 302
    again = store.answer(plan.pk, WHY + CARPET)
    assert again is not None
    assert again.state == "waiting"


# Pins and bans.


def test_a_pin_is_an_edit_and_is_taken_away_by_another(client: Client, key: str) -> None:
    keep_plan(key)
    answer = choose(client, key, CARPET, "pin", "leave")
    assert answer["Location"] == reverse("verdict_part", args=[key, CARPET])
    assert newest(key).part(CARPET).pin == "leave"
    page = board(client, key)
    assert "Deciding again" in page
    assert "pinned to" in page
    choose(client, key, CARPET, "unpin")
    assert newest(key).part(CARPET).pin is None


def test_a_ban_lifts_the_pin_of_the_same_course_and_a_pin_the_ban(client: Client, key: str) -> None:
    keep_plan(key)
    choose(client, key, VISOR, "ban", "visor_recover")
    assert (newest(key).part(VISOR).pin, newest(key).part(VISOR).bans) == (None, ("visor_recover",))
    assert "It must not have" in opened(client, key, VISOR)
    choose(client, key, VISOR, "pin", "visor_recover")
    assert (newest(key).part(VISOR).pin, newest(key).part(VISOR).bans) == ("visor_recover", ())
    choose(client, key, VISOR, "ban", "visor_recover")
    choose(client, key, VISOR, "allow", "visor_recover")
    assert newest(key).part(VISOR).bans == ()


def test_that_a_part_may_not_be_left_is_a_must_do(client: Client, key: str) -> None:
    keep_plan(key)
    choose(client, key, CARPET, "ban", "leave")
    assert newest(key).wishes.must_do == (CARPET,)
    assert "leave as it is" in plain_text(opened(client, key, CARPET)).split("It must not have")[1]
    choose(client, key, CARPET, "pin", "leave")
    assert (newest(key).wishes.must_do, newest(key).part(CARPET).pin) == ((), "leave")


@pytest.mark.parametrize(("do", "course"), [("paint", "leave"), ("pin", ""), ("allow", "nothing")])
def test_a_choice_that_is_none_is_refused(client: Client, key: str, do: str, course: str) -> None:
    assert choose(client, key, CARPET, do, course).status_code == 422
    assert store.record(key).revision == 1


def test_the_same_form_sent_twice_is_kept_once(client: Client, key: str) -> None:
    sent = {"revision": 1, "edit_id": "one", "do": "ban", "course": "carpet_dye"}
    for _ in range(2):
        client.post(reverse("choose", args=[key, CARPET]), sent)
    assert newest(key).part(CARPET).bans == ("carpet_dye",)
    assert store.record(key).revision == 2


def test_two_devices_that_pin_the_same_part_are_asked(client: Client, key: str) -> None:
    store.edit_job(key, SetField(path=("parts", CARPET, "pin"), value="carpet_dye"), LAPTOP, seen=1)
    sent = {"revision": 1, "do": "pin", "course": "leave"}
    assert client.post(reverse("choose", args=[key, CARPET]), sent).status_code == 409


# Wishes.


@pytest.mark.parametrize(
    ("sent", "path", "value"),
    [({"zone__dash": "2"}, ("wishes", "zones", "dash"), 2.0),
     ({"floor": "6"}, ("wishes", "floor"), 6),
     ({f"floor__{CARPET}": "7"}, ("wishes", "floors", CARPET), 7),
     ({"years": "5.5"}, ("wishes", "years"), 5.5),
     ({"originality": "0.4"}, ("wishes", "originality"), 0.4),
     ({"sure": "95.5"}, ("money", "sure"), 0.955),
     ({"hours": "80,5"}, ("time", "hours"), 80.5)],
)  # fmt: skip
def test_each_wish_is_an_edit(
    client: Client, key: str, sent: dict[str, str], path: tuple[str, ...], value: float
) -> None:
    assert wish(client, key, **sent).status_code == 302
    here: Any = newest(key)
    for step in path:
        here = here[step] if hasattr(here, "keys") else getattr(here, step)
    assert here == value
    assert store.record(key).revision == 2


def test_what_is_usual_is_not_said_and_an_empty_field_is_no_limit(client: Client, key: str) -> None:
    wish(client, key, zone__dash="2", floor="6", hours="80")
    assert store.record(key).revision == 2, "one form is one change"
    wish(client, key, zone__dash="1", floor="0", hours="")
    job = newest(key)
    assert (dict(job.wishes.zones), job.wishes.floor, job.time.hours) == ({}, None, None)


def test_a_figure_between_two_steps_is_not_moved_by_the_browser(client: Client, key: str) -> None:
    """A range input shows 1.1 as 1: sent along with another wish it must not count as a change."""
    edit = Together(
        edits=(
            SetField(path=("wishes", "zones", "dash"), value=1.1),
            SetField(path=("wishes", "years"), value=3.2),
        )
    )
    store.edit_job(key, edit, LAPTOP, seen=1)
    wish(client, key, zone__dash="1", years="3", floor="5")
    wishes = newest(key).wishes
    assert (dict(wishes.zones), wishes.years, wishes.floor) == ({"dash": 1.1}, 3.2, 5)


def test_nothing_changed_is_no_revision(client: Client, key: str) -> None:
    page = board(client, key)
    sent = dict(re.findall(r'<input type="range"[^>]*name="([^"]+)"[^>]*value="([^"]+)"', page))
    assert {"floor", "years", "originality", "sure"} <= set(sent)
    client.post(reverse("wishes", args=[key]), {"revision": 1, "hours": "", **sent})
    assert store.record(key).revision == 1


@pytest.mark.parametrize("sent", [{"years": "many"}, {"hours": "-3"}, {"floor": "12"}, {"zone__dash": "9"}])
def test_a_wish_that_cannot_be_is_refused(client: Client, key: str, sent: dict[str, str]) -> None:
    assert wish(client, key, **sent).status_code == 422
    assert store.record(key).revision == 1


def test_sets_come_and_go(client: Client, key: str) -> None:
    there = reverse("wish_sets", args=[key])
    client.post(there, {"revision": 1, "name": "Grips", "parts": [KNOB, "rim"]})
    (made,) = newest(key).wishes.sets
    assert (made.name, made.parts, made.within) == ("Grips", (KNOB, "rim"), 1)
    wish(client, key, set__0="3")
    assert newest(key).wishes.sets[0].within == 3
    client.post(there, {"revision": 3, "remove": "0"})
    assert newest(key).wishes.sets == ()


@pytest.mark.parametrize("sent", [{"name": "", "parts": [KNOB]}, {"name": "x", "parts": [KNOB]}, {"remove": "4"}])
def test_a_set_that_cannot_be_is_refused(client: Client, key: str, sent: dict[str, Any]) -> None:
    assert client.post(reverse("wish_sets", args=[key]), {"revision": 1, **sent}).status_code == 422


def test_a_form_without_its_revision_is_refused(client: Client, key: str) -> None:
    assert client.post(reverse("take_sum", args=[key]), {"sum": "2000"}).status_code == 422


# What more buys.


def test_the_staircase_tells_how_far_it_is_and_comes_by_itself(client: Client, key: str) -> None:
    plan = keep_plan(key)
    there = reverse("stairs", args=[key])
    assert "Worked out next" in board(client, key)
    Answer.objects.filter(plan=plan, about=STAIRS).update(state="running", share=0.4)
    polled = client.get(there, headers=fragment("stairs")).content.decode()
    assert 'value="0.4"' in polled
    assert 'hx-trigger="every 1s"' in polled
    keep_answer(plan, STAIRS)
    done = client.get(there, headers=fragment("stairs")).content.decode()
    assert "hx-trigger=" not in done
    assert 'id="stair-slider"' in done


def test_the_slider_has_every_stair_with_the_verdicts_that_differ(client: Client, key: str) -> None:
    keep_answer(keep_plan(key), STAIRS)
    page = board(client, key)
    data = re.search(r'<script id="stairs-data" type="application/json">(.*?)</script>', page, re.DOTALL)
    assert data
    told, stairs = json.loads(data[1]), answered_once(STAIRS)
    assert told["here"] == stairs["here"]
    assert [each["finish"] for each in told["stairs"]] == [each["finish"] for each in stairs["stairs"]]
    assert told["stairs"][told["here"]]["changes"] == []
    assert all(each["changes"] for at, each in enumerate(told["stairs"]) if at != told["here"])


def test_without_scripts_each_stair_is_a_link_and_its_sum_can_be_taken(client: Client, key: str) -> None:
    keep_answer(keep_plan(key), STAIRS)
    top = len(answered_once(STAIRS)["stairs"]) - 1
    assert f"?stair={top}#stairs" in board(client, key)
    page = board(client, key, stair=top)
    change = answered_once(STAIRS)["stairs"][top]["changes"][0]
    assert escape(change["to"]) in page
    offered = re.search(r'id="take-sum"[^>]*value="([^"]+)"', page)
    assert offered
    client.post(reverse("take_sum", args=[key]), {"revision": 1, "sum": offered[1]})
    assert newest(key).money.sum == answered_once(STAIRS)["stairs"][top]["sum"]


@pytest.mark.parametrize("typed", ["", "a lot", "1.005", "-5"])
def test_a_sum_that_is_none_is_refused(client: Client, key: str, typed: str) -> None:
    assert client.post(reverse("take_sum", args=[key]), {"revision": 1, "sum": typed}).status_code == 422


# Decided again.


@pytest.mark.parametrize(("edit", "part", "mark"), [(LESS, CARPET, "▼ less"), (RIM_FREE, "rim", "▲ better")])
def test_what_changed_since_the_verdicts_before_is_marked_in_words(
    client: Client, key: str, edit: Edit, part: str, mark: str
) -> None:
    written = EDIT.dump_json(edit).decode()
    keep_plan(key)
    store.edit_job(key, edit, LAPTOP, seen=1)
    waiting = plain_text(board(client, key))
    assert "Deciding again" in waiting
    assert "What stands below was decided before." in waiting
    assert store.history(key)[0].line in html.unescape(waiting)
    keep_plan(key, decided_once(written))
    was, now = (
        next(each for each in made.plan.verdicts.verdicts if each.part == part)
        for made in (decided_once(), decided_once(written))
    )
    assert was.course is not None
    assert was.finish_after != now.finish_after, "or this test shows nothing"
    page = board(client, key)
    row = re.search(rf'id="row-{part}">(.*?)</li>', page, re.DOTALL)
    assert row
    assert f"{mark} was: {was.course.name}, finish {was.finish_after}" in plain_text(row[1])
    told = plain_text(page)
    assert "Since the verdicts before" in told
    one, other = (made.plan.verdicts.money for made in (decided_once(), decided_once(written)))
    freed = round((one.firm + one.reserve - other.firm - other.reserve) / 100)
    assert f"{abs(freed)} EUR {'freed' if freed > 0 else 'more spoken for'}" in told


def test_a_plan_that_fails_leaves_the_one_before_and_says_what_to_do(client: Client, key: str) -> None:
    keep_plan(key)
    store.edit_job(key, AddEntry(path=("parts", VISOR, "bans"), value="visor_recover"), LAPTOP, seen=1)
    plan = store.take_plan(settled_before=timezone.now())
    assert plan is not None
    store.end_plan(plan.pk, [Problem("parts › visor › pin", "", "is pinned and banned at once.", "Take one away.")])
    told = plain_text(board(client, key))
    assert "Take one away." in told
    assert "What stands below was decided before." in told
