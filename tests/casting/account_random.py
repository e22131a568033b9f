"""Random days of entries and corrections, for tests of the account: any of its services at any moment, by a seed."""

import threading
import uuid
from collections import Counter
from decimal import Decimal as D

from django.db import connection, transaction
from django.utils import timezone

from casting.models import Account, AccountEntry, CastingDay, Flask, Plan, Wax
from casting.selectors.account.balances import all_balances, sums
from casting.selectors.account.flasks import booked_flasks, planned_flasks
from casting.services.account.bills import make_bill, pay
from casting.services.account.book import Doubted, NotBooked
from casting.services.account.corrections import correct
from casting.services.account.flasks import Back, settle, weigh_back, weigh_out
from casting.services.account.stock import bring_own, count, hand_back_own, send_away
from tests.casting.account_days import lot_of

E, K = AccountEntry.Kind, Account.Kind


def another_day(day):
    """A day of the same waxes and plan, its flasks invested."""
    with transaction.atomic():
        plan, waxes = Plan.objects.latest_of(day), list(day.waxes.all())
        other = CastingDay.objects.create(course=day.course, pour_at=timezone.now())
        other.alloys.set(day.alloys.all())
        for wax in waxes:
            wax.pk, wax.day, wax.key = None, other, uuid.uuid4()
        Wax.objects.bulk_create(waxes)
        Plan.objects.create(day=other, revision=1, day_file=plan.day_file, plan_file=plan.plan_file)
        labels = [flask["label"] for flask in plan.file["flasks"]]
        Flask.objects.bulk_create(Flask(day=other, label=label, state=Flask.State.INVESTED) for label in labels)
    return other


class Writer:
    """Somebody who books whatever the dice say; `done` counts what was booked and what was refused."""

    def __init__(self, day, by, dice):
        self.day, self.by, self.dice, self.done = day, by, dice, Counter()
        self.school = day.course.school

    def step(self):
        """Book one thing, or be refused; and nothing comes from nothing."""
        book = self.dice.choice(
            [self.out, self.out, self.back, self.back, self.settle, self.stock, self.take_back, self.money]
        )
        try:
            self.booked(book)
            self.done[book.__name__] += 1
        except NotBooked:
            self.done["refused"] += 1
        found = sums(self.school)
        assert set(found.values()) <= {D(0)}, found

    def booked(self, book):
        """Book by a service; what is doubted is mostly booked all the same."""
        try:
            book()
        except Doubted as doubt:
            if self.dice.random() < 0.2:
                raise
            self.again(doubt)

    def again(self, doubt):
        book, asked = self.last
        book(*asked, by=self.by, seen=doubt.seen)

    def grams(self, most=200):
        return D(self.dice.randrange(1, most * 100)) / 100

    def call(self, book, *asked):
        self.last = book, asked
        book(*asked, by=self.by)

    def flask(self):
        return self.dice.choice(planned_flasks(self.day))

    def out(self):
        flask = self.flask()
        heaps = [one for one, held in all_balances(self.school).items() if one.alloy_id == flask.alloy.pk and held > 0]
        heaps = [one for one in heaps if one.kind in (K.LOT, K.BUTTONS, K.SPRUES, K.OWN)]
        if not heaps or self.dice.random() < 0.2:
            lot_of(self.school, self.by, flask.alloy.key, str(self.grams(900)))
            return
        taken = self.dice.sample(heaps, min(len(heaps), 2))
        parts = {one.pk: flask.charge_g / len(taken) for one in taken}
        self.call(weigh_out, self.day, flask.label, {key: part.quantize(D("0.01")) for key, part in parts.items()})

    def poured(self):
        """A flask with metal in it, if there is one."""
        booked = booked_flasks(self.day)
        full = [one for one in planned_flasks(self.day) if one.label in booked and booked[one.label].left_g > 0]
        return self.dice.choice(full) if full else self.flask()

    def back(self):
        flask = self.poured()
        left = max(booked_flasks(self.day)[flask.label].left_g, D(1)) if self.dice.random() < 0.9 else self.grams()
        waxes = self.dice.sample(flask.waxes, self.dice.randrange(len(flask.waxes) + 1))
        share = (left * D(self.dice.randrange(30, 101)) / 100 / (len(waxes) + 2)).quantize(D("0.01"))
        back = Back({wax.pk: share for wax in waxes}, share, share / 2, self.dice.choice([None, D("0.05")]))
        self.call(weigh_back, self.day, flask.label, back)

    def settle(self):
        flask = self.poured()
        gone = [wax.tag for wax in flask.waxes] if self.dice.random() < 0.7 else []
        self.last = lambda *_asked, **how: settle(self.day, flask.label, not_cast=gone, **how), ()
        settle(self.day, flask.label, not_cast=gone, by=self.by)

    def stock(self):
        student = self.flask().waxes[0].student
        alloy, key = self.flask().alloy, self.dice.choice(list(all_balances(self.school)) or [Account(pk=0)]).pk
        do = self.dice.randrange(4)
        if do == 0:
            bring_own(student, alloy, self.grams(), by=self.by)
        elif do == 1:
            hand_back_own(student, alloy, self.grams(), by=self.by)
        else:
            (send_away if do == 2 else count)(self.school, key, self.grams(), by=self.by)

    def take_back(self):
        entries = list(AccountEntry.objects.filter(school=self.school).order_by("-pk")[:6])
        if entries:
            correct(self.dice.choice(entries), by=self.by)

    def money(self):
        bills = list(AccountEntry.objects.filter(school=self.school, kind=E.BILL))
        if bills and self.dice.random() < 0.5:
            pay(self.dice.choice(bills), by=self.by)
        else:
            make_bill(self.day, self.flask().waxes[0].student, by=self.by)


def write_both(writers, steps):
    """Let each writer take so many steps in a thread and a connection of its own; what fails in one is raised."""
    failed = []

    def write(writer):
        try:
            for _nth in range(steps):
                writer.step()
        except BaseException as error:
            failed.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=write, args=(writer,)) for writer in writers]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    if failed:
        raise failed[0]


def negative(school):
    """Accounts that hold less than nothing."""
    return [one for one, balance in all_balances(school).items() if one.kind in Account.HOLDING and balance < 0]
