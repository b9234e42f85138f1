"""The workbench's pages: what is typed is answered or refused beside its line, and a job's task fills it in."""

from __future__ import annotations

import re
import subprocess
import sys
from html import unescape
from pathlib import Path
from time import perf_counter
from typing import Any
from urllib.parse import urlencode

import pytest
from django.test import Client
from django.urls import reverse

from tests.plan.small_cabin import CUSHION
from tests.web.conftest import LAPTOP
from tests.web.decided import keep_plan, newest
from trimwright.book.colours import OwnBase, palette_of
from trimwright.craft.ask_colour import colour_questions
from trimwright.craft.workbench import QUESTIONS, ask
from trimwright.facts import load
from trimwright.plan.wrapping.found import facts, pieces, runs, worked_out, working
from trimwright.plan.wrapping.reading import entries, wheel_of
from trimwright.web.jobs import store
from trimwright.web.jobs.answering import FILLED
from trimwright.web.jobs.bench_work import LAYING, OUTLINE, PANEL, PHOTO
from trimwright.web.jobs.models import Answer, PlanRecord
from trimwright.web.jobs.own_colours import BASES
from trimwright.web.jobs.views.workbench import HIDES, benches, file_names
from trimwright.web.jobs.wheel_wraps import FILES, WRAP

pytestmark = pytest.mark.django_db

COLOURS = ("colour match", "colour mix", "colour check")
ASKED = {
    "air coat": {"air": "20 C", "humidity": "60 %", "surface": "18 C"},
    "air tin": {"tin": "clear_can", "place": "garage"},
    "coats mix": {"area": "1.2 m2", "tin": "clear_2k", "cup": "0.3 L"},
    "coats film": {"dry": "25 um", "solids": "40 %"},
    "coats grit": {"start": "P320", "to": "P800"},
    "torque": {"torque": "46 lbf·ft"},
    "colour match": {"target": "38.2 18.1 22.4"},
}


def got(client: Client, question: str, typed: dict[str, str] | None = None, status: int = 200) -> str:
    response = client.get(reverse("workbench_question", args=[question.replace(" ", "-")]), typed)
    assert response.status_code == status
    return unescape(response.content.decode())


def line(page: str, name: str) -> str:
    """The line of the form with what stands at it."""
    found = re.search(rf'<div class="typed[^"]*"><label for="line-{name}">.*?</div>', page, re.DOTALL)
    assert found
    return found[0]


def what_is_filled(plan: PlanRecord) -> dict[str, Any]:
    """By part or step, then by question."""
    data = Answer.objects.get(plan=plan, about=FILLED).data
    assert isinstance(data, dict)
    return data


def test_every_question_of_the_workbench_has_its_page(client: Client) -> None:
    shown = {each for bench in benches() for each in bench.questions}
    assert shown == {*QUESTIONS, *COLOURS, WRAP, PHOTO.id, OUTLINE.id, PANEL.id, LAYING.id, HIDES, BASES}
    index = client.get(reverse("workbench")).content.decode()
    blank = {BASES: "No base colour yet.", HIDES: "No hide or offcut is kept yet."}
    for each in shown:
        assert reverse("workbench_question", args=[each.replace(" ", "-")]) in index
        page = got(client, each)
        assert blank.get(each, "The answer stands here") in page
        assert "problems" not in page


@pytest.mark.parametrize("question", [each for each in ASKED if each not in COLOURS])
def test_a_page_answers_as_the_engine_does(client: Client, question: str) -> None:
    answer = ask(question, ASKED[question])
    page = got(client, question, ASKED[question] | {"ask": "1"})
    assert answer.told[1:] in page  # a page begins it with a capital
    for each in answer.figures:
        assert f"<dd>{each.shown}</dd>" in page
        assert str(each.worked) in page
    for limit in answer.limits:
        assert limit.told in page
        assert limit.source in page
    assert all(note in page for note in (*answer.steps, *answer.notes))


def test_46_pound_feet_is_told_in_newton_metres(client: Client) -> None:
    """1 lbf·ft = 1.355 818 N·m: NIST SP 811 (2008), appendix B.8."""
    assert "62.4 N·m" in got(client, "torque", {"ask": "1", "torque": "46 lbf·ft"})


def test_vapour_comes_with_its_cautions_and_its_picture(client: Client) -> None:
    page = got(client, "air tin", {"ask": "1", "tin": "clear_2k", "place": "garage"})
    assert page.count('class="caution"') == 2
    assert page.index('class="caution"') < page.index("Refused:")
    assert 'class="tw-picture"' in page
    assert "LEL: burns at a spark" in page


def test_what_is_wrong_stands_at_its_line_and_keeps_what_was_typed(client: Client) -> None:
    page = got(client, "air coat", {"ask": "1", "air": "20 C", "humidity": "140 %", "surface": "cold"}, status=422)
    assert 'value="140 %"' in line(page, "humidity")
    assert 'aria-invalid="true"' in line(page, "humidity")
    assert 'value="cold"' in line(page, "surface")
    assert 'aria-invalid="true"' in line(page, "surface")
    assert "aria-invalid" not in line(page, "air")
    assert 'value="20 C"' in line(page, "air")
    assert 'href="#line-humidity"' in page


def test_a_line_that_is_missing_says_what_to_write(client: Client) -> None:
    page = got(client, "coats mix", {"ask": "1"}, status=422)
    assert "is missing." in line(page, "area")


def test_no_such_question_is_not_found(client: Client) -> None:
    assert client.get("/workbench/tea/").status_code == 404
    assert client.get("/workbench/?job=nothing").status_code == 404


def test_a_task_fills_in_what_its_job_knows(client: Client, key: str) -> None:
    plan = keep_plan(key)
    filled = what_is_filled(plan)
    part, asked = next((part, each["coats mix"]) for part, each in filled.items() if "coats mix" in each)
    page = got(client, "coats mix", {"job": key, "part": part})
    assert asked["task"] in page
    assert f'value="{asked["typed"]["area"]}"' in line(page, "area")
    assert f'<option value="{asked["typed"]["tin"]}" selected>' in line(page, "tin")
    assert ask("coats mix", asked["typed"]).told in page  # enough is known: it is answered at once


def test_a_sent_form_counts_for_all_that_stands_in_it(client: Client, key: str) -> None:
    """A figure of the job's that was taken out does not come back."""
    filled = what_is_filled(keep_plan(key))
    part = next(part for part, each in filled.items() if "coats mix" in each)
    page = got(client, "coats mix", {"job": key, "part": part, "ask": "1", "area": "", "tin": "clear_can"}, status=422)
    assert "is missing." in line(page, "area")
    assert f'name="part" value="{part}"' in page


def test_a_part_leads_to_the_questions_its_task_asks(client: Client, key: str) -> None:
    filled = what_is_filled(keep_plan(key))
    page = unescape(client.get(reverse("verdict_part", args=[key, CUSHION])).content.decode())
    for question in filled[CUSHION]:
        assert f"/workbench/{question.replace(' ', '-')}/?job={key}&part={CUSHION}" in page


def test_the_benches_tell_which_questions_a_part_fills_in(client: Client, key: str) -> None:
    filled = what_is_filled(keep_plan(key))
    page = client.get(reverse("workbench"), {"job": key, "part": CUSHION}).content.decode()
    assert page.count("filled in</small>") == len(filled[CUSHION])


def test_a_question_sent_by_a_script_is_answered_without_the_page(client: Client) -> None:
    response = client.get(
        reverse("workbench_question", args=["torque"]), {"ask": "1", "torque": "46 N·m"}, headers={"HX-Request": "true"}
    )
    page = response.content.decode()
    assert page.lstrip().startswith('<div id="asked"')
    assert "<html" not in page


def test_no_page_but_one_of_colour_imports_what_colours_need() -> None:
    """In a process of its own, for other tests have imported it here; the library of colours stays out altogether."""
    code = """
import os, sys, tempfile
os.environ |= {"DJANGO_SETTINGS_MODULE": "trimwright.web.settings", "TRIMWRIGHT_DATA": tempfile.mkdtemp()}
import django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from django.test import Client
from django.conf import settings
settings.ALLOWED_HOSTS = ["testserver"]
settings.STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
client = Client()
for address in ("/", "/workbench/", "/workbench/air-tin/?ask=1&tin=clear_can", "/workbench/torque/"):
    assert client.get(address).status_code == 200, address
heavy = [each for each in ("colour", "cv2", "numpy", "trimwright.craft.colour.mixing") if each in sys.modules]
assert not heavy, heavy
assert client.get("/workbench/colour-match/?ask=1&target=38.2+18.1+22.4").status_code == 200
assert "colour" not in sys.modules
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_a_mix_of_the_shops_own_bases_is_answered_with_both_colours_side_by_side(client: Client) -> None:
    bases = (OwnBase(id="white", name="White", lab=(95, 0, 2)), OwnBase(id="tan", name="Tan", lab=(45, 18, 30)),
             OwnBase(id="black", name="Black", lab=(18, 0, 0)))  # fmt: skip
    store.change_book(lambda book: book.changed(bases=bases), LAPTOP, "bases")
    typed = {"target": "45 14 24", "batch": "250 g"}
    answer = colour_questions(palette_of(store.book()))["colour mix"].answer(typed)
    page = got(client, "colour mix", typed | {"ask": "1"})
    assert answer.told in page
    assert all(each in page for each in answer.steps)
    assert "Two colours side by side" in page
    assert page.count('class="caution"') == len(answer.cautions)


def test_bases_are_taken_in_mixed_from_kept_and_taken_out(client: Client) -> None:
    for base, lab in (("white", "95 0 2"), ("tan", "45 18 30")):
        typed = {"id": base, "name": base.title(), "lab": lab, "drop": "", "tints": ""}
        assert client.post(reverse("own_bases"), typed).status_code == 302
    typed = {"id": "black", "name": "Black", "lab": "18 0 0", "drop": "0.04", "tints": "10% white 52 0 -1\n"}
    assert client.post(reverse("own_bases"), typed).status_code == 302
    assert [(each.id, each.drop, len(each.tints)) for each in store.book().bases] == [
        ("black", 0.04, 1), ("tan", 0.05, 0), ("white", 0.05, 0),
    ]  # fmt: skip
    lines = urlencode({"target": "45 14 24", "ask": "1"})
    assert client.post(f"{reverse('keep_mix')}?{lines}", {"id": "seats", "bottles": "B 12"}).status_code == 302
    (kept,) = store.book().mixes
    assert (kept.id, kept.batch, kept.target) == ("seats", "B 12", (45, 14, 24))
    assert client.post(f"{reverse('keep_mix')}?{lines}", {"id": "seats"}).status_code == 422  # kept already
    used = kept.drops[0].base
    assert client.post(reverse("drop_base"), {"base": used}).status_code == 422  # a kept mix is made of it
    unused = {"white", "tan", "black"} - {each.base for each in kept.drops}
    for base in unused:
        assert client.post(reverse("drop_base"), {"base": base}).status_code == 302
    assert {each.id for each in store.book().bases} == {each.base for each in kept.drops}


def test_a_base_that_is_none_is_refused_and_no_file_is_read_for_it(client: Client, tmp_path: Path) -> None:
    (tmp_path / "secret.csv").write_text("400, 0.1")
    for lab, tints in (
        ("95 0", ""),
        ("95 0 2", "ten white"),
        (str(tmp_path / "secret.csv"), ""),
        ("95 0 2", f"10% white {tmp_path}/secret.csv"),
    ):
        response = client.post(
            reverse("own_bases"), {"id": "white", "name": "White", "lab": lab, "drop": "", "tints": tints}
        )
        assert response.status_code == 422
        assert unescape(response.content.decode()).count(lab) >= 1  # what was typed stands there still
    assert store.book().bases == ()


def test_an_answer_takes_a_tenth_of_a_second_at_most(client: Client) -> None:
    """Once its libraries are loaded; the fastest of three, for the machine has other work."""
    for question, typed in (*ASKED.items(), (WRAP, WHEEL)):
        took = []
        for pitch in ("5", "4.9", "4.8", "4.7"):
            asked = typed | {"ask": "1"} | ({"pitch": pitch} if question == WRAP else {})
            began = perf_counter()
            got(client, question, asked)
            took.append(perf_counter() - began)
        assert min(took[1:]) < 0.1, question


# ---- a wheel wrap ----------------------------------------------------------------------------------------------------

WHEEL = {"outside": "385", "grips": "94", "spokes": "90=32x18, 180=40x14, 270=32x18"}


def test_a_wheel_is_wrapped_as_the_command_wraps_it(client: Client) -> None:
    page = got(client, WRAP, WHEEL | {"ask": "1"})
    found = worked_out(wheel_of(entries(WHEEL)), load(), None)
    for rows in (facts(found), pieces(found), runs(found)):
        assert all(each in page for row in rows for each in row[1:])
    assert all(each in page for each in working(found))
    assert all(each.what in page for each in found.advice)
    assert page.count("<svg") >= 4  # stretch, lacing, the pieces, the house's mark
    assert all(each in page for each in found.all_cautions)


def test_what_is_wrong_with_a_wheel_stands_at_its_line(client: Client) -> None:
    page = got(client, WRAP, {"ask": "1", "outside": "385", "grips": "0=400", "spokes": "90:32"}, status=422)
    assert "is no spoke." in line(page, "spokes")
    assert 'value="0=400"' in line(page, "grips")
    page = got(client, WRAP, {"ask": "1", "outside": "385", "grips": "0=400"}, status=422)
    assert "is not between" in line(page, "grips")


def test_every_file_of_a_wrap_is_offered(client: Client) -> None:
    assert set(file_names()) == set(FILES)
    page = got(client, WRAP, WHEEL | {"ask": "1"})
    assert all(f"{reverse('wrap_file', args=[each])}?outside=385&" in page for each in FILES)


@pytest.mark.parametrize("name", FILES)
def test_sheets_and_drawings_are_taken_away(client: Client, name: str) -> None:
    response = client.get(reverse("wrap_file", args=[name]), WHEEL)
    assert response.status_code == 200
    assert response["Content-Type"] == FILES[name]
    begins = {"pdf": b"%PDF-", "svg": b"<svg", "dxf": b"  0"}[name.rpartition(".")[2]]
    assert response.content.startswith(begins)


def test_sheets_of_a_wheel_that_is_none_are_refused(client: Client) -> None:
    assert client.get(reverse("wrap_file", args=["pieces.svg"]), {"outside": "385"}).status_code == 422
    assert client.get("/workbench/wrap/other.pdf", WHEEL).status_code == 404


def test_measures_are_kept_in_the_job_and_fill_the_form_again(client: Client, key: str) -> None:
    response = client.post(f"{reverse('keep_wheel')}?{urlencode(WHEEL | {'job': key, 'part': 'rim'})}", follow=True)
    assert response.status_code == 200
    kept = newest(key).part("rim").wheel
    assert kept == wheel_of(entries(WHEEL))
    page = got(client, WRAP, {"job": key})
    assert 'value="90=32x18, 180=40x14, 270=32x18"' in line(page, "spokes")
    assert "seam at the hub" in page.lower()  # enough is known: answered at once


def test_measures_are_kept_for_a_wheel_alone(client: Client, key: str) -> None:
    address = f"{reverse('keep_wheel')}?{urlencode(WHEEL | {'job': key, 'part': CUSHION})}"
    assert client.post(address).status_code in (302, 404)
    assert newest(key).part(CUSHION).wheel is None


def test_the_colour_card_is_printed_on_both_papers(client: Client) -> None:
    for size in ("a4", "letter"):
        response = client.get(reverse("colour_card", args=[size]))
        assert response.status_code == 200
        assert response.content.startswith(b"%PDF-")
