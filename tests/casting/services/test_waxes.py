"""Waxes are written once, changed only as they were seen, and every write leaves its trace."""

import dataclasses
import itertools
import threading
import uuid
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction

from casting.dayfile.rules_file import rulebook
from casting.models import Wax, WaxChange
from casting.services import waxes as wax_services
from casting.services.days import close_hand_in
from casting.services.flasks import fix_flask
from casting.services.waxes import HandInClosed, Invested, NotWritten, OtherContent, Outdated, TooMany, tags
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in, wax_entry


def test_a_wax_is_written_once(day, student):
    key, entry = uuid.uuid4(), wax_entry(day)
    first, made = wax_services.hand_in(day, student, key=key, entry=entry)
    again, made_again = wax_services.hand_in(day, student, key=key, entry=entry)
    assert (made, made_again) == (True, False)
    assert first == again
    assert Wax.objects.count() == WaxChange.objects.count() == 1


def test_the_answer_to_a_late_replay_is_the_wax_as_it_stands(day, student):
    key, entry = uuid.uuid4(), wax_entry(day)
    wax, _made = wax_services.hand_in(day, student, key=key, entry=entry)
    lighter = dataclasses.replace(entry, wax_g=Decimal("2.9"), entered="2.9")
    wax_services.change(wax, by=student, version=1, entry=lighter)
    day.closed_at = day.pour_at
    day.save()
    again, made = wax_services.hand_in(day, student, key=key, entry=entry)
    assert not made
    assert again.wax_g == Decimal("2.9")


def test_the_same_key_with_other_figures_is_refused(day, student, classmate):
    key, entry = uuid.uuid4(), wax_entry(day)
    wax_services.hand_in(day, student, key=key, entry=entry)
    with pytest.raises(OtherContent):
        wax_services.hand_in(day, student, key=key, entry=dataclasses.replace(entry, section="thin"))
    with pytest.raises(OtherContent):
        wax_services.hand_in(day, classmate, key=key, entry=entry)
    assert Wax.objects.count() == 1


def test_a_change_needs_the_version_that_was_seen(day, student):
    wax = handed_in(day, student)
    wax_services.change(wax, by=student, version=1, entry=wax_entry(day, what="narrow band"))
    with pytest.raises(Outdated) as refusal:
        wax_services.change(wax, by=student, version=1, entry=wax_entry(day, what="lost"))
    assert (refusal.value.wax.what, refusal.value.wax.version) == ("narrow band", 2)


def test_a_change_sent_twice_by_the_same_phone_is_one_change_also_after_closing(day, student):
    wax = handed_in(day, student)
    entry = wax_entry(day, what="narrow band")
    wax_services.change(wax, by=student, version=1, entry=entry)
    close_hand_in(day)
    assert wax_services.change(wax, by=student, version=1, entry=entry).version == 2
    assert WaxChange.objects.count() == 2


def test_a_withdrawal_sent_twice_is_one_withdrawal(day, student):
    wax = handed_in(day, student)
    first = wax_services.withdraw(wax, by=student, version=1)
    assert wax_services.withdraw(wax, by=student, version=1).withdrawn_at == first.withdrawn_at
    assert WaxChange.objects.count() == 2


def test_the_same_figures_are_no_replay_if_somebody_else_wrote_them_or_something_since(day, student, teacher):
    wax = handed_in(day, student)
    entry = wax_entry(day, what="narrow band")
    wax_services.change(wax, by=teacher, version=1, entry=entry)
    with pytest.raises(Outdated):
        wax_services.change(wax, by=student, version=1, entry=entry)
    wax_services.change(wax, by=student, version=2, entry=entry)
    wax_services.withdraw(wax, by=teacher, version=3)
    with pytest.raises(Outdated):
        wax_services.change(wax, by=student, version=2, entry=entry)


def test_who_when_before_and_after_are_kept(day, student, teacher):
    wax = handed_in(day, student)
    wax_services.change(wax, by=teacher, version=1, entry=wax_entry(day, wax_g=Decimal("2.9"), entered="2.9"))
    made, changed = WaxChange.objects.all()
    assert (made.by_student, made.before) == (student, None)
    assert made.after["wax_g"] == changed.before["wax_g"] == "3.2"
    assert (changed.by_person, changed.by_student) == (teacher, None)
    assert changed.after["wax_g"] == "2.9"
    assert changed.at >= made.at


@pytest.mark.parametrize("verb", [wax_services.withdraw, wax_services.bring_back])
def test_a_student_writes_nothing_after_closing_but_a_teacher_may(day, student, teacher, verb):
    wax = handed_in(day, student)
    close_hand_in(day)
    with pytest.raises(HandInClosed):
        verb(wax, by=student, version=1)
    assert verb(wax, by=teacher, version=1).version == 2


@pytest.fixture
def with_second(day, student):
    """A wax in sterling whose student would take bronze."""
    return handed_in(day, student, second_alloy=day.alloys.get(key="si-bronze"))


def test_the_second_choice_is_taken_and_given_back_with_who_and_when(with_second, teacher):
    wax = wax_services.take_second_choice(with_second, by=teacher, version=1)
    assert (wax.alloy.key, wax.second_alloy.key, wax.version) == ("si-bronze", "sterling", 2)
    change = WaxChange.objects.latest("pk")
    assert (change.by_person, change.before["alloy"], change.after["alloy"]) == (teacher, "sterling", "si-bronze")
    assert wax_services.take_second_choice(wax, by=teacher, version=2).alloy.key == "sterling"


def test_a_second_choice_is_taken_only_where_there_is_one_and_as_it_was_seen(day, with_second, student, teacher):
    with pytest.raises(NotWritten, match="has no second-choice metal"):
        wax_services.take_second_choice(handed_in(day, student), by=teacher, version=1)
    wax_services.change(with_second, by=student, version=1, entry=wax_entry(day, second_alloy=with_second.second_alloy))
    with pytest.raises(Outdated):
        wax_services.take_second_choice(with_second, by=teacher, version=1)
    day.alloys.remove(with_second.second_alloy)
    with pytest.raises(NotWritten, match="does not offer Silicon bronze any more"):
        wax_services.take_second_choice(with_second, by=teacher, version=2)
    assert Wax.objects.get(pk=with_second.pk).alloy.key == "sterling"


def test_an_invested_wax_keeps_its_metal(with_second, teacher):
    make_plan(with_second.day, by=teacher)
    fix_flask(with_second.day, "A", "invested", by=teacher)
    with pytest.raises(Invested, match="is invested, so its metal stays"):
        wax_services.take_second_choice(with_second, by=teacher, version=1)


def test_tags_are_two_characters_that_no_hand_confuses():
    every = list(tags())
    assert len(set(every)) == len(every) > 500
    assert all(len(tag) == 2 for tag in every)
    assert not set("BDGIOQSUZ01") & set("".join(every))


def test_tags_in_a_row_share_no_character():
    assert not any(set(one) & set(other) for one, other in itertools.pairwise(itertools.islice(tags(), 136)))


def test_a_withdrawn_wax_keeps_its_tag(day, student):
    wax = handed_in(day, student)
    wax_services.withdraw(wax, by=student, version=1)
    assert handed_in(day, student).tag != wax.tag


@pytest.mark.parametrize(
    ("columns", "constraint"),
    [
        ({"wax_g": 0}, "wax_weighs_something"),
        ({"wax_g": 501}, "wax_weighs_something"),
        ({"sprue_g": 4}, "wax_sprue_within_weight"),
        ({"sprue_g": -1}, "wax_sprue_within_weight"),
        ({"height_mm": 0}, "wax_has_a_size"),
    ],
)
def test_the_database_refuses_too(day, columns, constraint):
    wax = handed_in(day)
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        Wax.objects.filter(pk=wax.pk).update(**columns)


@pytest.mark.django_db(transaction=True)
def test_a_wax_sent_ten_times_at_once_is_one_wax(day, student):
    key, entry = uuid.uuid4(), wax_entry(day)
    answers = []

    def send():
        try:
            answers.append(wax_services.hand_in(day, student, key=key, entry=entry))
        finally:
            connection.close()

    threads = [threading.Thread(target=send) for _ in range(10)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(answers) == 10
    assert sum(made for _wax, made in answers) == 1
    assert Wax.objects.count() == WaxChange.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_of_ten_changes_of_one_version_one_is_written(day, student):
    wax = handed_in(day, student)
    entries = [wax_entry(day, what=f"band {number}") for number in range(10)]
    outcomes = []

    def save(entry):
        try:
            wax_services.change(wax, by=student, version=1, entry=entry)
            outcomes.append("written")
        except Outdated:
            outcomes.append("outdated")
        finally:
            connection.close()

    threads = [threading.Thread(target=save, args=[entry]) for entry in entries]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["outdated"] * 9 + ["written"]
    wax.refresh_from_db()
    assert wax.version == 2


def test_one_student_cannot_use_the_day_s_tags_up(day, student, classmate, teacher):
    most = round(rulebook().limit("student_most_waxes"))
    first, *_more = [handed_in(day, student) for _nth in range(most)]
    wax_services.withdraw(first, by=student, version=first.version)
    # 561 tags: 2 x 17 letters x 8 digits + 17 x 17; thirty times a class of 18 is 540
    assert most * 18 < len(list(tags()))
    with pytest.raises(TooMany, match=f"You have handed in {most} waxes for this day"):
        wax_services.hand_in(day, student, key=uuid.uuid4(), entry=wax_entry(day))
    again, made = wax_services.hand_in(day, student, key=first.key, entry=wax_entry(day))
    assert again == first and not made, "what was sent before is still answered"
    assert wax_services.hand_in(day, classmate, key=uuid.uuid4(), entry=wax_entry(day))[1]
    assert wax_services.hand_in(day, student, key=uuid.uuid4(), entry=wax_entry(day), by=teacher)[1]
