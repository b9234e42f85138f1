"""Every page about jobs, grouped by stage. A stage's own pages stand together under its name."""

from __future__ import annotations

from django.urls import path

from trimwright.web.jobs.views import (
    buying,
    changes,
    copies,
    history,
    looks,
    photos,
    pictures,
    quote,
    settings,
    start,
    verdicts,
    walk_round,
)

urlpatterns = [
    path("", start.jobs, name="jobs"),
    path("new/", start.new_job, name="new_job"),
    path("import/", copies.import_job, name="import_job"),
    path("settings/", settings.settings, name="settings"),
    path("pictures.css", pictures.pictures, name="pictures"),
    path("jobs/<slug:key>/", start.job, name="job"),
    # the edits every page sends, undo and redo
    path("jobs/<slug:key>/edits/", changes.edits, name="edits"),
    path("jobs/<slug:key>/undo/", changes.undo, name="undo"),
    path("jobs/<slug:key>/redo/", changes.redo, name="redo"),
    # the plan: its strip, polled while one is being made
    path("jobs/<slug:key>/plan/", changes.plan, name="plan"),
    path("jobs/<slug:key>/plan/again/", changes.plan_again, name="plan_again"),
    path("jobs/<slug:key>/papers/<str:name>.pdf", copies.paper, name="paper"),
    # photos
    path("jobs/<slug:key>/photos/", photos.take_photo, name="take_photo"),
    path("jobs/<slug:key>/photos/<slug:name>.jpg", photos.photo, name="photo"),
    path("jobs/<slug:key>/photos/<slug:name>/small.jpg", photos.small_photo, name="small_photo"),
    # walk-round
    path("jobs/<slug:key>/walk-round/", walk_round.walk_round, name="walk_round"),
    path("jobs/<slug:key>/walk-round/parts/<str:part>/", walk_round.survey_part, name="survey_part"),
    path("jobs/<slug:key>/walk-round/parts/<str:part>/size/", walk_round.part_size, name="part_size"),
    path("jobs/<slug:key>/walk-round/parts/<str:part>/remove/", walk_round.remove_part, name="remove_part"),
    path("jobs/<slug:key>/walk-round/add/", walk_round.add_part, name="add_part"),
    path("jobs/<slug:key>/walk-round/equipment/", looks.equipment, name="equipment"),
    path("jobs/<slug:key>/walk-round/looks/<slug:look>/", looks.look, name="look"),
    path("jobs/<slug:key>/walk-round/catalogue.json", walk_round.catalogue, name="catalogue"),
    path("jobs/<slug:key>/walk-round/keeper.js", walk_round.keeper, name="keeper"),
    # the quote and the owner's account
    path("jobs/<slug:key>/quote/", quote.quote, name="quote"),
    path("jobs/<slug:key>/quote/pages/<int:number>.png", quote.quote_page, name="quote_page"),
    path("jobs/<slug:key>/quote/yes/", quote.owner_yes, name="owner_yes"),
    path("jobs/<slug:key>/quote/let-go/", quote.let_go, name="let_go"),
    path("jobs/<slug:key>/quote/payments/", quote.payment, name="payment"),
    path("jobs/<slug:key>/quote/beside/", quote.beside, name="beside"),
    path("jobs/<slug:key>/quote/beside/<str:event>/", quote.came_of_it, name="came_of_it"),
    path("jobs/<slug:key>/quote/finds/", quote.found, name="found"),
    path("jobs/<slug:key>/quote/finds/<str:event>/", quote.change, name="change"),
    path("jobs/<slug:key>/quote/finds/<str:event>/sheet.pdf", quote.change_sheet, name="change_sheet"),
    path("jobs/<slug:key>/quote/finds/<str:event>/ask/", quote.ask_change, name="ask_change"),
    path("jobs/<slug:key>/quote/finds/<str:event>/answer/", quote.answer_find, name="answer_find"),
    # buying
    path("jobs/<slug:key>/buying/", buying.buying, name="buying"),
    path("jobs/<slug:key>/buying/list.<slug:ending>", buying.buying_list, name="buying_list"),
    path("jobs/<slug:key>/buying/now-or-hold/", buying.now_or_hold, name="now_or_hold"),
    path("jobs/<slug:key>/buying/ask/", buying.ask_replay, name="ask_replay"),
    path("jobs/<slug:key>/buying/order/", buying.order, name="order"),
    path("jobs/<slug:key>/buying/arrived/", buying.arrived, name="arrived"),
    path("jobs/<slug:key>/buying/price/", buying.price, name="price"),
    path("jobs/<slug:key>/buying/shelf/", buying.to_the_shelf, name="to_the_shelf"),
    path("jobs/<slug:key>/buying/<str:event>/back/", buying.gone_back, name="gone_back"),
    path("jobs/<slug:key>/buying/<str:event>/not-coming/", buying.not_coming, name="not_coming"),
    # verdicts
    path("jobs/<slug:key>/verdicts/", verdicts.verdicts, name="verdicts"),
    path("jobs/<slug:key>/verdicts/stairs/", verdicts.stairs, name="stairs"),
    path("jobs/<slug:key>/verdicts/sum/", verdicts.take_sum, name="take_sum"),
    path("jobs/<slug:key>/verdicts/wishes/", verdicts.wishes, name="wishes"),
    path("jobs/<slug:key>/verdicts/wishes/sets/", verdicts.wish_sets, name="wish_sets"),
    path("jobs/<slug:key>/verdicts/parts/<str:part>/", verdicts.verdict_part, name="verdict_part"),
    path("jobs/<slug:key>/verdicts/parts/<str:part>/why/", verdicts.why_part, name="why_part"),
    path("jobs/<slug:key>/verdicts/parts/<str:part>/choose/", verdicts.choose, name="choose"),
    # what happened
    path("jobs/<slug:key>/history/", history.history, name="history"),
    path("jobs/<slug:key>/history/compare/", history.compare, name="compare"),
    path("jobs/<slug:key>/history/<int:number>/take-back/", history.take_back, name="take_back"),
    path("jobs/<slug:key>/history/<int:number>/restore/", history.restore, name="restore"),
    # going out and coming in
    path("jobs/<slug:key>/job.json", copies.job_file, name="job_file"),
    path("jobs/<slug:key>/bundle.zip", copies.bundle, name="bundle"),
]
