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
        """Weigh a flask out, mostly one that is empty, of metal that is mostly enough and its own."""
        flask = self.of_state(full=False)
        heaps = {one: held for one, held in all_balances(self.school).items() if one.alloy_id == flask.alloy.pk}
        heaps = {
            one: held for one, held in heaps.items() if held > 0 and one.kind in (K.LOT, K.BUTTONS, K.SPRUES, K.OWN)
        }
        if self.sensible():
            owner = flask.owner.pk if flask.owner else None
            heaps = {one: held for one, held in heaps.items() if one.student_id == owner and 2 * held > flask.charge_g}
            if len(heaps) < 2:
                more = flask.charge_g + self.grams(400)
                if flask.owner:
                    bring_own(flask.owner, flask.alloy, more, by=self.by)
                else:
                    lot_of(self.school, self.by, flask.alloy.key, str(more))
                return
        if not heaps:
            raise NotBooked("there is nothing")
        taken = self.dice.sample(list(heaps), min(len(heaps), 2))
        parts = {one.pk: flask.charge_g / len(taken) for one in taken}
        self.call(weigh_out, self.day, flask.label, {key: part.quantize(D("0.01")) for key, part in parts.items()})

    def sensible(self):
        """Whether somebody looks before booking; who does not is often refused."""
        return self.dice.random() < 0.8

    def of_state(self, *, full):
        """A flask, mostly one that has metal in it (or has none), if there is such a one."""
        booked = booked_flasks(self.day) if self.sensible() else {}
        found = [
            one for one in planned_flasks(self.day) if (one.label in booked and booked[one.label].left_g > 0) == full
        ]
        return self.dice.choice(found) if found else self.flask()

    def back(self):
        flask = self.of_state(full=True)
        booked = booked_flasks(self.day).get(flask.label)
        if booked is None and self.sensible():
            self.out()
            return
        left = max(booked.left_g, D(1)) if booked and self.sensible() else self.grams()
        open_now = [one for one in flask.waxes if not booked or one.pk not in booked.weighed or not self.sensible()]
        waxes = self.dice.sample(open_now, self.dice.randrange(len(open_now) + 1))
        share = (left * D(self.dice.randrange(30, 101)) / 100 / (len(waxes) + 2)).quantize(D("0.01"))
        back = Back({wax.pk: share for wax in waxes}, share, share / 2, self.dice.choice([None, D("0.05")]))
        self.call(weigh_back, self.day, flask.label, back)

    def settle(self):
        flask = self.of_state(full=True)
        if flask.label not in booked_flasks(self.day) and self.sensible():
            self.back()
            return
        gone = [wax.tag for wax in flask.waxes] if self.sensible() else []
        self.last = lambda *_asked, **how: settle(self.day, flask.label, not_cast=gone, **how), ()
        settle(self.day, flask.label, not_cast=gone, by=self.by)

    def stock(self):
        """Own metal in or out, a heap counted or sent away; whoever looks takes no more than there is."""
        heaps = {one: held for one, held in all_balances(self.school).items() if held > 0 or not self.sensible()}
        own = [one for one in heaps if one.kind == K.OWN]
        stocked = [one for one in heaps if one.kind in (K.LOT, K.BUTTONS, K.SPRUES, K.SWEEPS)] or [Account(pk=0)]
        do = self.dice.choice([bring_own, hand_back_own, send_away, count])
        if do is bring_own or (do is hand_back_own and not own):
            flask = self.flask()
            bring_own(flask.waxes[0].student, flask.alloy, self.grams(), by=self.by)
        elif do is hand_back_own:
            account = self.dice.choice(own)
            most = int(heaps[account] * 100) if self.sensible() else 20000
            hand_back_own(account.student, account.alloy, D(self.dice.randrange(1, max(most, 2))) / 100, by=self.by)
        else:
            account = self.dice.choice(stocked)
            most = int(heaps.get(account, 0) * 100) if self.sensible() else 20000
            do(self.school, account.pk, D(self.dice.randrange(1, max(most, 2))) / 100, by=self.by)

    def take_back(self):
        entries = AccountEntry.objects.filter(school=self.school).order_by("-pk")
        if self.sensible():
            entries = entries.exclude(kind=E.CORRECTION).filter(corrected_by=None)
        if entries := list(entries[:6]):
            correct(self.dice.choice(entries), by=self.by)

    def money(self):
        bills = list(AccountEntry.objects.filter(school=self.school, kind=E.BILL))
        if bills and self.dice.random() < 0.5:
            pay(self.dice.choice(bills), by=self.by)
            return
        open_now = [one for one in planned_flasks(self.day) if not self.is_settled(one.label)]
        if open_now and self.sensible():
            self.settle()
            return
        make_bill(self.day, self.flask().waxes[0].student, by=self.by)

    def is_settled(self, label):
        booked = booked_flasks(self.day).get(label)
        return booked is not None and booked.settled is not None


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
