"""Random days: zero at every step, with one writer and with two, whatever is taken back. The bench has 200 of them."""

import random

import pytest

from casting.models import AccountEntry
from tests.casting.account_days import invest, prices
from tests.casting.account_random import Writer, another_day, negative, write_both


def test_one_writer(planned, teacher, school):
    invest(planned, teacher)
    prices(school, teacher)
    done = Writer(planned, teacher, random.Random(0)).done
    for seed in range(8):
        writer = Writer(another_day(planned) if seed else planned, teacher, random.Random(seed))
        for _nth in range(8):
            writer.step()
        assert negative(school) == []
        done += writer.done
    assert done.total() == 64 and done["refused"] < 40
    assert done["out"] and done["back"] and AccountEntry.objects.filter(kind="correction").exists()


@pytest.mark.django_db(transaction=True)
def test_two_writers_at_once(planned, teacher, school):
    invest(planned, teacher)
    prices(school, teacher)
    for seed in range(2):
        day = another_day(planned)
        writers = [Writer(day, teacher, random.Random(10 * seed + nth)) for nth in range(2)]
        write_both(writers, 6)
        assert negative(school) == []
        assert [one.done.total() for one in writers] == [6, 6]
