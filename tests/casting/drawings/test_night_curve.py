"""A kiln's night on a tablet: the curve, what was read, the clock."""

import datetime as dt
import re

from casting.drawings.night_curve import LETTER, TYPE_MM, WIDE_MM, draw_night_curve
from casting.presenters.plan_reader import read_plan
from tests.days.written_plans import as_text, plan_of_24


def drawn(minutes, readings=(), shift=0):
    night = read_plan(*as_text(*plan_of_24())).kilns[0]
    at = [(night.on_at + dt.timedelta(minutes=minute), heat) for minute, heat in readings]
    now = night.on_at + dt.timedelta(minutes=minutes)
    return str(draw_night_curve(night, lambda heat: f"{heat:.0f}", at, now, dt.timedelta(minutes=shift)))


def test_it_has_its_holds_its_readings_and_now():
    svg = drawn(60, [(30, 90), (55, 140)])
    assert svg.count('class="reading"') == 2 and ">now<" in svg and ">732<" in svg
    assert "over the hours: planned, and what was read" in svg


def test_now_and_a_reading_outside_the_night_are_not_drawn():
    svg = drawn(-600, [(-500, 20)])
    assert ">now<" not in svg and 'class="reading"' not in svg


def test_a_kiln_that_went_on_later_has_its_curve_later():
    first = [float(re.search(r'points="([\d.]+),', drawn(60, shift=late))[1]) for late in (0, 30)]
    assert first[0] < first[1]


def test_no_hour_is_cut_off():
    half = 5 * LETTER * TYPE_MM / 2  # 02:00
    places = [float(x) for x in re.findall(r'<text x="([\d.]+)"[^>]*>\d\d:\d\d<', drawn(60))]
    assert len(places) > 3 and half <= min(places) and max(places) <= WIDE_MM - half
