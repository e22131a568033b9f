"""A cancelled or closed day takes no change: through no service and at no address."""

import datetime as dt
import html
import importlib
import inspect
import pkgutil
import re
import uuid
from decimal import Decimal as D

import pytest
from django.db import models, transaction
from django.urls import reverse
from django.utils import timezone

from casting import services
from casting.models import CastingDay, Plan, Recast, Search, Wax
from casting.services import board, cautions, day_life, days, flasks, photos, plans, poured, prints, searches, waxes
from casting.services.account import bills
from casting.services.account import flasks as account_flasks
from casting.services.account.flasks import Back
from casting.services.board_moves import Move
from casting.services.day_shut import DayShut, locked_open, refuse_if_shut
from casting.services.looking_back import defects, sprues
from casting.services.running import after_pour, base_photos, mishaps, mixing, mounting, readings, recast, ticks
from tests.addresses import ROUTES
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in, typed, wax_entry

CANCELLED = "This casting day is cancelled, by Imre Valdane: the pump is broken. It stays as it is."
CLOSED = "This casting day is closed. It stays as it is."


@pytest.fixture(params=["cancelled", "closed"])
def shut(request, day, student, teacher):
    """A day with a wax, a withdrawn one and a plan, cancelled or closed; and the sentence that says so."""
    handed_in(day, student)
    gone = handed_in(day, student)
    make_plan(day, by=teacher)
    waxes.withdraw(gone, by=student, version=gone.version)
    Recast.objects.create(wax=first(day), fate="again", at=timezone.now(), by=teacher)
    if request.param == "cancelled":
        day_life.cancel(day, "the pump is broken.", by=teacher)
    else:
        CastingDay.objects.filter(pk=day.pk).update(pour_at=timezone.now() - dt.timedelta(days=1))
        day_life.end(CastingDay.objects.get(pk=day.pk), "struck", by=teacher)
    return CastingDay.objects.get(pk=day.pk), CANCELLED if request.param == "cancelled" else CLOSED


def entry(day):
    return days.DayEntry(day.pour_at + dt.timedelta(days=9), list(day.alloys.all()))


def first(day):
    return day.waxes.standing().first()


def hand_in(day, by):
    waxes.hand_in(day, first(day).student, key=uuid.uuid4(), entry=wax_entry(day), by=by)


def a_piece_lost(day):
    """A piece of the day to be cast again, the same however often it is asked for."""
    return Recast.objects.get(wax=first(day))


WRITES = {
    "days.change": lambda day, by: days.change(day, entry(day), by=by),
    "days.close_hand_in": lambda day, by: days.close_hand_in(day),
    "days.reopen_hand_in": lambda day, by: days.reopen_hand_in(day),
    "day_life.cancel": lambda day, by: day_life.cancel(day, "why", by=by),
    "day_life.end": lambda day, by: day_life.end(day, "why", by=by),
    "waxes.hand_in": hand_in,
    "waxes.change": lambda day, by: waxes.change(first(day), by=by, version=1, entry=wax_entry(day)),
    "photos.keep_photo": lambda day, by: photos.keep_photo(first(day), b"no photo"),
    "photos.remove_photo": lambda day, by: photos.remove_photo(first(day)),
    "waxes.take_second_choice": lambda day, by: waxes.take_second_choice(first(day), by=by, version=1),
    "waxes.withdraw": lambda day, by: waxes.withdraw(first(day), by=by, version=1),
    "waxes.bring_back": lambda day, by: waxes.bring_back(Wax.objects.latest("pk"), by=by, version=2),
    "board.take_step": lambda day, by: board.take_step(day, Move("out", tag=first(day).tag), revision=1, by=by),
    "board.take_step_later": lambda day, by: board.take_step_later(
        day, Move("out", tag=first(day).tag), revision=1, by=by
    ),
    "board.undo": lambda day, by: board.undo(day, revision=1, by=by),
    "board.redo": lambda day, by: board.redo(day, revision=1, by=by),
    "board.bring_back": lambda day, by: board.bring_back(day, 1, revision=1, by=by),
    "board.let_all_go": lambda day, by: board.let_all_go(day, by=by),
    "board.take_offer": lambda day, by: board.take_offer(day, revision=1, by=by),
    "flasks.hold_wax": lambda day, by: flasks.hold_wax(first(day), "B", by),
    "flasks.fix_flask": lambda day, by: flasks.fix_flask(day, "A", "invested", by=by),
    "poured.correct_poured_at": lambda day, by: poured.correct_poured_at(day, "A", timezone.now(), by=by),
    "flasks.correct_invested_at": lambda day, by: flasks.correct_invested_at(day, "A", timezone.now(), by=by),
    "flasks.note_kiln": lambda day, by: flasks.note_kiln(day, "k1", on=True, by=by),
    "after_pour.note_quenched": lambda day, by: after_pour.note_quenched(day, "A", by=by),
    "after_pour.undo_quenched": lambda day, by: after_pour.undo_quenched(day, "A", by=by),
    "after_pour.note_given_back": lambda day, by: after_pour.note_given_back(day, [first(day).tag], by=by),
    "after_pour.undo_given_back": lambda day, by: after_pour.undo_given_back(day, first(day).tag, by=by),
    "readings.note_reading": lambda day, by: readings.note_reading(day, "k1", "300", by=by),
    "readings.take_away_reading": lambda day, by: readings.take_away_reading(day, 1, by=by),
    "mounting.note_weighed": lambda day, by: mounting.note_weighed(
        day, "A", mounting.Typed("30", "", "20"), by=by, at=timezone.now()
    ),
    "mixing.note_water": lambda day, by: mixing.note_water(day, "A", "20", by=by, at=timezone.now()),
    "mixing.note_water_weighed": lambda day, by: mixing.note_water_weighed(day, "A", "300", by=by, at=timezone.now()),
    "mixing.begin_bowl": lambda day, by: mixing.begin_bowl(day, "A", by=by, at=timezone.now()),
    "mixing.undo_begun": lambda day, by: mixing.undo_begun(day, "A", by=by),
    "mixing.note_bell": lambda day, by: mixing.note_bell(day, "A", "20", by=by, at=timezone.now()),
    "mixing.note_gloss_gone": lambda day, by: mixing.note_gloss_gone(day, "A", by=by, at=timezone.now()),
    "mixing.take_gloss": lambda day, by: mixing.take_gloss(day, "A", by=by),
    "mixing.fill_flasks": lambda day, by: mixing.fill_flasks(day, "A", by=by, at=timezone.now()),
    "mixing.undo_filled": lambda day, by: mixing.undo_filled(day, "A", by=by),
    "days.keep_measured_gloss": lambda day, by: days.keep_measured_gloss(day, 8.1, by=by),
    "days.pour_later": lambda day, by: days.pour_later(day, day.pour_at + dt.timedelta(hours=1), by=by),
    "base_photos.keep_base_photo": lambda day, by: base_photos.keep_base_photo(day, "A", b"photo", by=by),
    "base_photos.remove_base_photo": lambda day, by: base_photos.remove_base_photo(day, "A", by=by),
    "mounting.undo_weighed": lambda day, by: mounting.undo_weighed(day, "A", by=by),
    "ticks.press": lambda day, by: ticks.press(day, ticks.Press("gate", "dry", who="Nadia"), by=by),
    "mishaps.note_mishap": lambda day, by: mishaps.note_mishap(day, mishaps.Met("leaked", ("A",), "none"), by=by),
    "mishaps.take_back_mishap": lambda day, by: mishaps.take_back_mishap(day, "leaked", "A", by=by),
    "mishaps.decide_piece": lambda day, by: mishaps.decide_piece(day, first(day).tag, "usable", by=by),
    "recast.put_on_list": lambda day, by: recast.put_on_list(first(day), by=by),
    "recast.keep_place": lambda day, by: recast.keep_place(a_piece_lost(day), day, by=by),
    "recast.decide_who_pays": lambda day, by: recast.decide_who_pays(a_piece_lost(day), "school", by=by),
    "defects.note_defect": lambda day, by: defects.note_defect(first(day), kind="rough", where="thin", by=by),
    "sprues.note_sprue": lambda day, by: sprues.note_sprue(first(day), "2.5", "", by=by),
    "cautions.clear": lambda day, by: cautions.clear(day, "R-35", by="Imre", reason="I am one"),
    "cautions.take_back": lambda day, by: cautions.take_back(day, "R-35", by=by, text="Do no hot work."),
    "plans.take_sooner": lambda day, by: plans.take_sooner(day, "1", by),
    "flasks.weigh_out": lambda day, by: account_flasks.weigh_out(day, "A", {1: D(5)}, by=by),
    "flasks.weigh_back": lambda day, by: account_flasks.weigh_back(day, "A", Back(button_g=D(5)), by=by),
    "flasks.settle": lambda day, by: account_flasks.settle(day, "A", by=by),
    "bills.make_bill": lambda day, by: bills.make_bill(day, first(day).student, by=by),
    "prints.mark_printed": lambda day, by: prints.mark_printed(day, [], by),
    "searches.begin": lambda day, by: searches.begin(day, by),
    "searches.begin_saving": lambda day, by: searches.begin_saving(Plan.objects.latest_of(day), by),
    "plans.store_plan": lambda day, by: plans.store_plan(
        day, Plan.objects.latest_of(day).day_file, Plan.objects.latest_of(day).plan_file, by
    ),
}
"""A call of every service that writes to a day, or to what belongs to it."""

READ_ONLY = {"waxes.invested", "day_life.not_poured", "day_shut.refuse_if_shut", "plans.refuse_if_late"} | {
    "poured.refuse_if_doubted",
    "poured.refuse_pour_at",
    "board_drafts.again",
    "board_drafts.as_before",
    "board_drafts.planned",
    "after_pour.may_quench_from",
}
TAKES_BACK = {"day_life.uncancel", "day_life.reopen"}
ONE_BY_ONE = {"bills.make_bills"}
"""Calls a service above for each student, and says which sentence each was refused with."""
SETTLES = {"searches.wait_for", "searches.settle", "searches.stop", "searches.keep_best"}
"""The end of a search that goes on already; what it found is not kept: `plans.store_plan` refuses it."""
UNDER_A_LOCK = {"noting.note", "noting.take_back", "accounts.flask_account"}
"""What the services above write with, once they hold the day."""
OF_THE_DEMO = {"demo.begin_demo_plan", "demo.finish_demo_plan"}


def of_a_day():
    """The public services whose first argument is a day, or a row that belongs to one."""
    for module in pkgutil.walk_packages(services.__path__, "casting.services."):
        found = importlib.import_module(module.name)
        for name, function in inspect.getmembers(found, inspect.isfunction):
            if name.startswith("_") or inspect.unwrap(function).__module__ != found.__name__:
                continue
            kinds = [str(one.annotation) for one in inspect.signature(function).parameters.values()]
            if kinds and kinds[0] in ("CastingDay", "Wax", "Plan", "Search"):
                yield f"{module.name.rpartition('.')[2]}.{name}"


def test_every_service_of_a_day_has_its_row():
    others = READ_ONLY | TAKES_BACK | ONE_BY_ONE | SETTLES | UNDER_A_LOCK | OF_THE_DEMO | {"shelf_effects.standing_of"}
    assert set(of_a_day()) - set(WRITES) - others == set(), "a new service: let it refuse a shut day, and try it above"


def tables(day):
    """All rows that belong to the day, and the day itself."""
    related = [one for one in CastingDay._meta.related_objects if one.related_model is not Search]
    rows = {str(one.related_model): list(one.related_model.objects.filter(day=day).values()) for one in related}
    wax_rows = {
        str(one.related_model): list(one.related_model.objects.filter(wax__day=day).values())
        for one in Wax._meta.related_objects
        if isinstance(one.field, models.ForeignKey)
    }
    return rows | wax_rows | {"day": CastingDay.objects.filter(pk=day.pk).values().get()}


def test_no_service_writes_to_it(shut, teacher):
    day, sentence = shut
    before = tables(day)
    for name, write in WRITES.items():
        # Asked of the day anew, which a service may have changed in memory before it looked.
        with pytest.raises(Exception) as refusal:
            write(CastingDay.objects.get(pk=day.pk), teacher)
        assert getattr(refusal.value, "sentence", "") == sentence, name
        assert tables(day) == before, name


@pytest.mark.usefixtures("blank_papers")
def test_no_address_writes_to_it(shut, teacher_client, student_client):
    day, _sentence = shut
    before = tables(day)
    given = {"day_id": day.pk, "wax_id": first(day).pk, "label": "A", "key": "mix", "which": "all"}
    more = typed(day) | {"state": "invested", "revision": "1", "label": "B", "at": "2027-01-01T10:00", "why": "x"}
    more |= {"version": day.version, "do": "cancel", "student": str(first(day).student_id), "kiln": "k1"}
    tried = 0
    for name, names in ROUTES:
        if set(names) <= set(given) and {"day_id", "wax_id"} & set(names):
            for client in (teacher_client, student_client):
                answer = client.post(reverse(name, kwargs={one: given[one] for one in names}), more)
                assert answer.status_code < 500, name
                tried += 1
            assert tables(day) == before, name
    assert tried > 40


POSTED = {
    "make_plan": {},
    "close_waxes": {"do": "close"},
    "mark_kiln": {"kiln": "k1"},
    "day_state": {"do": "end"},
    "change_day": {},
}


def test_who_tries_reads_the_sentence(shut, teacher_client):
    day, sentence = shut
    for name, more in POSTED.items():
        answer = teacher_client.post(reverse(name, args=[day.pk]), more, follow=True)
        assert sentence in answer.content.decode(), name


def test_taken_back_it_takes_changes_again(shut, teacher):
    day, _sentence = shut
    day_life.uncancel(day, by=teacher)
    day_life.reopen(day, by=teacher)
    days.change(CastingDay.objects.get(pk=day.pk), entry(day), by=teacher)
    assert flasks.fix_flask(day, "A", "invested", by=teacher, as_planned=True).state == "invested"


def test_an_open_day_is_locked_and_given_back(day):
    with transaction.atomic():
        assert locked_open(day.pk) == day
    refuse_if_shut(day)
    day.cancelled_at, day.cancelled_by, day.cancelled_why = timezone.now(), "Imre Valdane", "the pump is broken"
    with pytest.raises(DayShut, match="cancelled, by Imre Valdane: the pump is broken"):
        refuse_if_shut(day)
    with pytest.raises(KeyError):
        refuse_if_shut(day, KeyError)


def forms_on_pages(day, client):
    """The addresses that forms of each page of the day post to, and the text of each page."""
    given = {"day_id": day.pk, "wax_id": first(day).pk, "label": "A", "key": "mix", "which": "all"}
    for name, names in ROUTES:
        if set(names) <= set(given) and {"day_id", "wax_id"} & set(names):
            answer = client.get(reverse(name, kwargs={one: given[one] for one in names}))
            if answer.status_code == 200 and answer.headers["Content-Type"].startswith("text/html"):
                page = answer.content.decode()
                if "<main" in page:
                    main = page.partition("<main")[2]
                    posting = re.findall(r'<form(?=[^>]*method="post")[^>]*>', main)
                    found = [re.search(r'action="([^"]*)"', form) for form in posting]
                    yield name, [action[1] if action else "" for action in found], html.unescape(main)


TAKE_IT_BACK = ("change_day", "day_state")


@pytest.mark.usefixtures("blank_papers")
def test_no_page_of_it_shows_a_button_and_each_says_why(shut, teacher_client):
    day, sentence = shut
    back = reverse("day_state", args=[day.pk])
    seen = set()
    for name, actions, page in forms_on_pages(day, teacher_client):
        assert set(actions) <= ({back} if name in TAKE_IT_BACK else set()), name
        assert sentence in page, name
        seen.add(name)
    assert {"waxes", "flasks", "day_plan", "papers", "flask_cards", "correct_wax", "weigh_in", "change_day"} <= seen


@pytest.mark.usefixtures("blank_papers")
def test_no_student_sees_a_button_of_it_either(shut, student_client):
    day, sentence = shut
    for name, actions, page in forms_on_pages(day, student_client):
        assert actions == [] and sentence in page, name


@pytest.mark.usefixtures("blank_papers")
def test_an_open_day_has_its_buttons(day, student, teacher, teacher_client):
    handed_in(day, student)
    make_plan(day, by=teacher)
    buttons = {name for name, actions, _page in forms_on_pages(day, teacher_client) if actions}
    assert {"waxes", "flasks", "day_plan", "papers", "flask_cards", "correct_wax", "weigh_in", "change_day"} <= buttons
