"""The core's pages in a browser: a new job, its history, two devices at once, light and dark, by keyboard alone."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from tests.browser.conftest import Console, fits, is_accessible
from tests.plan.small_cabin import CUSHION, small_job
from tests.web.conftest import LAPTOP
from trimwright.job.edits import EDIT, SetField
from trimwright.web.jobs import store
from trimwright.web.jobs.maker import Maker
from trimwright.web.jobs.planner import make_next

Open = Callable[..., Page]
FINISH = SetField(path=("parts", CUSHION, "finish_now"), value=2)

PAGES = ("jobs", "new_job", "settings", "import_job", "door")
OF_A_JOB = ("job", "history", "compare")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_fits_and_is_accessible(open_page: Open, key: str, scheme: str, console: Console) -> None:
    console.expect("404")
    store.edit_job(key, FINISH, LAPTOP, seen=1)
    page = open_page("/", color_scheme=scheme)
    addresses = [reverse(name) for name in PAGES] + [reverse(name, args=[key]) for name in OF_A_JOB]
    for address in [*addresses, "/nothing/"]:
        page.goto(address)
        expect(page.locator("main")).to_be_visible()
        fits(page)
        is_accessible(page)


def test_from_nothing_to_a_job_in_four_questions(open_page: Open) -> None:
    page = open_page("/")
    expect(page.get_by_text("A new one takes four questions.")).to_be_visible()
    page.get_by_role("link", name="New job").click()
    page.get_by_label("What car is it?").fill("two-door left in a yard")
    page.get_by_label("From which year?").fill("1994")
    page.get_by_role("radio", name="estate").check()
    page.get_by_label("What is the fixed sum?").fill("2,400")
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("two-door left in a yard")
    (row,) = store.jobs()
    assert (row.body, row.sum, row.currency) == ("estate", 240_000, "EUR")


def test_a_wrong_answer_is_told_and_the_others_stay(open_page: Open, console: Console) -> None:
    console.expect("422")
    page = open_page("/new/")
    page.get_by_label("What car is it?").fill("two-door left in a yard")
    page.get_by_label("From which year?").fill("94")
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_text("greater than or equal to 1900")).to_be_visible()
    expect(page.get_by_label("What car is it?")).to_have_value("two-door left in a yard")
    is_accessible(page)


def test_taken_back_done_again_and_restored(open_page: Open, key: str) -> None:
    page = open_page(reverse("job", args=[key]))
    send(page, key, FINISH)
    page.reload()
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(".messages")).to_contain_text("Taken back: Front cushion cover, driver's: finish 3 → 2")
    page.get_by_role("button", name="Redo").click()
    page.goto(reverse("history", args=[key]))
    expect(page.locator(".revision")).to_have_count(4)
    expect(page.locator(".revision").nth(2)).to_contain_text("Front cushion cover, driver's: finish 3 → 2")
    page.locator(".revision").last.get_by_role("button", name="Restore").click()
    expect(page.locator(".revision")).to_have_count(5)
    page.get_by_role("button", name="Compare the two").click()
    expect(page.get_by_role("cell", name="2", exact=True)).to_be_visible()
    assert store.job_at(key, 5) == small_job()


@pytest.mark.parametrize(("choice", "finish"), [("Mine stands", 2), ("Theirs stands", 7)])
def test_two_devices_change_the_same_field_and_are_asked(
    open_page: Open, key: str, console: Console, choice: str, finish: int
) -> None:
    console.expect("409")
    laptop, phone = open_page(reverse("job", args=[key])), open_page(reverse("job", args=[key]))
    send(phone, key, FINISH.model_copy(update={"value": 7}))
    answer = send(laptop, key, FINISH)
    assert answer == 409
    post(laptop, key, FINISH)
    expect(laptop.get_by_role("heading", name="Changed meanwhile")).to_be_visible()
    for told in ("3", "7", "2"):
        expect(laptop.get_by_role("cell", name=told, exact=True)).to_be_visible()
    fits(laptop)
    is_accessible(laptop)
    laptop.get_by_text(choice).click()
    expect(laptop.get_by_role("heading", level=1)).to_have_text("two-door left in a yard")
    assert store.job_at(key, store.record(key).revision).part(CUSHION).finish_now == finish


def test_the_verdicts_come_by_themselves(open_page: Open, key: str) -> None:
    page = open_page(reverse("job", args=[key]))
    expect(page.locator("#strip")).to_contain_text("Deciding")
    maker = Maker()
    try:
        assert make_next(maker)
    finally:
        maker.end()
    expect(page.locator("#strip")).to_contain_text("chance it ends inside", timeout=10_000)
    expect(page.locator("#strip")).not_to_contain_text("Deciding")
    fits(page)
    is_accessible(page)


def test_dark_is_chosen_here_and_stays(open_page: Open) -> None:
    page = open_page("/", color_scheme="light")
    ground = "getComputedStyle(document.body).backgroundColor"
    assert page.evaluate(ground) == "rgb(246, 242, 233)"
    page.get_by_role("button", name="Dark").click()
    assert page.evaluate(ground) == "rgb(27, 29, 32)"
    page.reload()
    assert page.evaluate(ground) == "rgb(27, 29, 32)"
    expect(page.get_by_role("button", name="Dark")).to_have_attribute("aria-pressed", "true")


def test_by_keyboard_alone(open_page: Open, key: str) -> None:
    page = open_page(reverse("job", args=[key]))
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the page")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()
    page.goto(reverse("new_job"))
    page.get_by_label("From which year?").focus()
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowRight")
    expect(page.get_by_role("radio", name="four-door")).to_be_checked()


def test_everything_works_without_scripts(open_page: Open, key: str) -> None:
    store.edit_job(key, FINISH, LAPTOP, seen=1)
    page = open_page(reverse("history", args=[key]), java_script_enabled=False)
    page.locator(".revision").first.get_by_role("button", name="Take back").click()
    assert store.job_at(key, store.record(key).revision) == small_job()


def send(page: Page, key: str, edit: SetField) -> int:
    """The edit as a script of a page sends it; the status of the answer."""
    status: int = page.evaluate(
        """async ([address, edit]) => {
            const token = JSON.parse(document.body.getAttribute("hx-headers"))["x-csrftoken"];
            const body = new URLSearchParams({edit, revision: "1", edit_id: crypto.randomUUID()});
            const headers = {"X-CSRFToken": token, "Accept": "application/json"};
            return (await fetch(address, {method: "POST", body, headers})).status;
        }""",
        [reverse("edits", args=[key]), EDIT.dump_json(edit).decode()],
    )
    return status


def post(page: Page, key: str, edit: SetField) -> None:
    """The edit as a plain form sends it."""
    with page.expect_navigation():
        page.evaluate(
            """([action, edit]) => {
                const token = JSON.parse(document.body.getAttribute("hx-headers"))["x-csrftoken"];
                const form = Object.assign(document.createElement("form"), {method: "post", action});
                const fields = {edit, revision: "1", edit_id: crypto.randomUUID(), csrfmiddlewaretoken: token};
                for (const [name, value] of Object.entries(fields))
                    form.append(Object.assign(document.createElement("input"), {type: "hidden", name, value}));
                document.body.append(form);
                form.submit();
            }""",
            [reverse("edits", args=[key]), EDIT.dump_json(edit).decode()],
        )
