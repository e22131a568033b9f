"""A flask that is invested, poured or lost is on no paper and no page as if its work were still to be done."""

import re
from datetime import UTC, datetime

import pytest
from django.urls import reverse

from casting.models import Flask, FlaskMishap, StepRecord
from casting.papers.pdf.render import render
from casting.papers.sheets.account.weigh_back import weigh_back_html
from casting.papers.sheets.day_plan import day_plan_html
from casting.papers.sheets.flask_cards import flask_cards_html
from casting.papers.sheets.kiln_room import kiln_room_html, rows_of
from casting.papers.sheets.mix import mix_html
from casting.papers.sheets.running.collect import collect_html
from casting.papers.sheets.running.kiln_log import kiln_log_html
from casting.papers.sheets.running.saw_off import saw_off_html
from casting.papers.sheets.slips import slips_html
from casting.papers.sheets.supplement import supplement_html
from casting.papers.sheets.weigh_out import weigh_out_html
from casting.presenters.opened_plan import OpenedPlan
from tests.casting.papers.conftest import stored
from tests.casting.papers.printed import job_of
from tests.casting.papers.reading_back import pages_of, places_of
from tests.casting.papers.sheets.test_day_plan import words_of
from tests.days.written_plans import plan_of_24


def stand(plan, **states):
    """Flasks of the plan's day as far as these states, by label."""
    for label, state in states.items():
        Flask.objects.update_or_create(day=plan.day, label=label, defaults={"state": state})
    return plan


@pytest.fixture
def begun(plan_24):
    """Eight flasks of 119.5 g, two to a bowl of 566 g: A is poured, B and C are invested, and so is H, the last, which
    cracked before its pour, at 08:40."""
    stand(plan_24, A="poured", B="invested", C="invested", H="invested")
    went_wrong(plan_24, "H", "cracked", "unpoured")
    return plan_24


def went_wrong(plan, label, kind, left):
    """at 08:40 in Denver, after the clocks went forward."""
    at = datetime(2027, 3, 14, 14, 40, tzinfo=UTC)
    FlaskMishap.objects.create(day=plan.day, label=label, kind=kind, left=left, at=at)


LOST = "lost at 08:40: cracked; not poured"


def struck_in(page):
    """The words that are struck through."""
    return [re.sub(r"<[^>]*>", "", one).strip() for one in re.findall(r"<s>(.*?)</s>", page, re.DOTALL)]


def test_metal_that_is_poured_is_not_weighed_out_again(begun):
    page = weigh_out_html(job_of(begun))
    text = words_of(render(page))
    # Neither A nor H: 6 x 119.5 = 717.0; half of a bag up to a tenth is 59.8, and 6 x 59.8 = 358.8.
    assert "The school's metal 119.5 g already poured: A" in text
    assert "6 bags 717.0 g 358.8 g" in text
    assert "A 119.5 g 59.8 g poured weigh out nothing" in text
    assert f"H 119.5 g 59.8 g {LOST} weigh out nothing. Put back what lies weighed out for it." in text
    assert struck_in(page) == ["A", "119.5 g", "59.8 g", "Sun 10:00", "H", "119.5 g", "59.8 g", "Sun 10:56"]


def test_the_bench_fetches_only_what_is_still_to_be_used(begun):
    page = day_plan_html(job_of(begun))
    text = words_of(render(page))
    assert "Sterling silver 119.5 g already poured: A lost, so nothing for: H 717.0 g" in text
    # Of 4 bowls of 566 g and 226.4 g one is mixed: 1698 g and 679.2 g; C's is not, as D waits for it, nor is H's.
    assert "Investment powder, bowls not mixed yet 1698 g" in text and "Water, bowls not mixed yet 679.2 g" in text
    assert "with its base 4 already filled 4" in text
    assert "A, B 566 g 226.4 g invested" in text and "C, D C invested: see the mix sheet 566 g" in text
    assert {"Sun 10:00", "A", "H", "Sun 10:56", "119.5 g"} <= set(struck_in(page)) and text.count(LOST) == 1
    # Its waxes stand in plaster: what is still to be mounted has its picture, and nothing else.
    assert "Invested, nothing to mount: A, B, C, H." in text and page.count('<article class="mount') == 4
    assert "Sun 10:08" not in struck_in(page)
    # When it may be quenched still stands: nobody has said that it was.
    assert re.search(r"10:00 A Sterling silver 119.5 g 538 °C 970 °C poured Sun 10:15", text.replace("\u202f", " "))


def test_no_powder_is_mixed_again_for_what_is_invested(begun):
    page = mix_html(job_of(begun))
    text = words_of(render(page))
    assert struck_in(page) == ["A, B", "566 g", "226.4 g"]
    assert text.count("These flasks are invested and need no more powder or water.") == 1
    assert (
        "C: invested. If it came from this bowl, mark the others too; if not, make the plan again before you mix."
        in text
    )
    assert page.count("powder met water at") == 3


def test_the_kiln_room_says_poured_where_it_said_pour(begun):
    text = words_of(render(kiln_room_html(job_of(begun))))
    assert "A POURED" in text and "POUR A" not in text and "POUR B" in text
    assert "POUR H" not in text and f"H LOST {LOST}" in text
    (night,) = OpenedPlan(begun).sheet.kilns
    before, pours = rows_of(OpenedPlan(begun).sheet, night)
    assert [row.verb for row in (*before, *pours) if row.done] == ["A POURED", "H LOST"]
    # G is the last that comes out of it, so the kiln goes off then.
    assert [row.verb for row in pours if row.then_off] == ["POUR G"]


def test_a_kiln_whose_flasks_are_all_poured_is_not_switched_on_again(plan_24):
    stand(plan_24, **dict.fromkeys("ABCDEFGH", "poured"))
    sheet = OpenedPlan(plan_24).sheet
    before, pours = rows_of(sheet, sheet.kilns[0])
    assert all(row.done for row in (*before, *pours))
    assert all(row.struck for row in before) and pours[-1].then_off
    assert "All its flasks are poured" in words_of(render(kiln_room_html(job_of(plan_24))))
    assert (sheet.metals[0].to_weigh_g, sheet.powder_to_fetch_g, sheet.water_to_fetch_g) == (0, 0, 0)


def test_a_card_says_how_far_its_flask_is(begun):
    page = flask_cards_html(job_of(begun))
    assert [page.count(f'<b class="mark">{word}</b>') for word in ("poured", "invested", "lost")] == [1, 2, 1]
    assert page.count(LOST) == 1
    # The charge, both heats and the pour of A and H; the powder and the water of all four.
    assert len(struck_in(page)) == 2 * 4 + 4 * 2
    # Mounted and mixed: all four; set, loaded and poured: A.
    assert page.count('ticked"') == 4 * 2 + 3
    assert flask_cards_html(job_of(begun), "a4-2x4-apart").count('<b class="mark">') == 4


def test_an_invested_flask_has_set_and_is_loaded_once_its_kiln_is_noted_on(begun):
    kiln = begun.file["firings"][0]["kiln"]
    StepRecord.objects.create(day=begun.day, do="kiln_on", what=kiln, done_at=begun.made_at)
    # Mounted and mixed: all four; set and loaded: all four; poured: A.
    assert flask_cards_html(job_of(begun)).count('ticked"') == 4 * 4 + 1


def test_the_other_papers_tell_what_went_wrong_and_nothing_of_it_on_a_fair_day(begun):
    went_wrong(begun, "A", "leaked", "metal")
    papers = (weigh_back_html, slips_html, supplement_html, saw_off_html, collect_html)
    lost = [paper(job_of(begun)) for paper in papers]
    # Once at the flask or, where a student or each of its three pieces is told, at each; twice on two copies.
    assert [page.count(LOST) for page in lost] == [1, 3, 2, 1, 3]
    assert [page.count("leaked at 08:40, metal is in it") for page in lost] == [1, 3, 0, 1, 3]
    # Seven flasks are sawn apart, and seven have boxes for what is weighed back.
    assert lost[3].count('class="saw-map"') == 7 and lost[0].count(">melts so far<") == 7
    log = kiln_log_html(job_of(begun))
    assert "H is cracked: not poured" in log and "A leaked: metal is in it" in log
    FlaskMishap.objects.all().delete()
    fair = [paper(job_of(begun)) for paper in (*papers, kiln_log_html)]
    assert not any(word in page for page in fair for word in ("lost at", "cracked", "leaked"))


def test_the_pages_say_it_too(begun, teacher_client):
    page = teacher_client.get(reverse("day_plan", args=[begun.day_id])).content.decode()
    # The bowl of A and B, the pour of A with its charge.
    assert {"A, B", "A", "119.5 g"} <= set(struck_in(page))
    assert {"C, D", "B"}.isdisjoint(struck_in(page))
    assert "C invested</span>" in page and ">poured</span>" in page and page.count(f">{LOST}</span>") == 1
    page = teacher_client.get(reverse("flasks", args=[begun.day_id])).content.decode()
    card = page.split('id="flask-A"')[1].split("</article>")[0]
    assert "<s>119.5 g</s> poured" in card and "<s>283 g</s> invested" in card
    card = page.split('id="flask-H"')[1].split("</article>")[0]
    assert f">{LOST}</span>" in card and "<s>119.5 g</s> lost" in card and "invested</span>" not in card


def test_a_load_that_the_plan_gives_no_time_prints_none(day, teacher):
    """The kiln goes on at 20:25: that is no time to load it."""
    plan = stored(day, teacher, *plan_of_24())
    for flask in plan.file["flasks"]:
        Flask.objects.create(day=day, label=flask["label"], state="invested")
    far = pages_of(render(kiln_room_html(job_of(plan))))[0]
    assert re.search("LOAD 8 before the kiln goes on .*20:25 KILN ON then 149", far)
    assert far.count("20:25") == 1


def test_a_kiln_that_is_on_is_not_to_be_put_on(day, teacher):
    plan, day_file = plan_of_24()
    labels, at = [flask["label"] for flask in plan["flasks"]], plan["firings"][0]["on_at"]
    plan["steps"] += [
        {"at": at, "until": at, "do": "load", "flasks": [one], "kiln": "k1", "say": "Load."} for one in labels
    ]
    plan = stored(day, teacher, plan, day_file)
    Flask.objects.bulk_create(Flask(day=day, label=label, state="invested") for label in labels)
    asked = pages_of(render(kiln_room_html(job_of(plan))))[0]
    # 19:47 in Denver, before the clocks go forward.
    StepRecord.objects.create(day=day, do="kiln_on", what="k1", done_at=datetime(2027, 3, 14, 2, 47, tzinfo=UTC))
    noted = pages_of(render(kiln_room_html(job_of(plan))))[0]
    assert "KILN ON" in asked and "LOAD 8" in asked and "since 19:47" not in asked
    assert re.search("LOADED.* ON since 19:47 then 149", noted)
    assert "KILN ON" not in noted and "LOAD 8" not in noted
    places = places_of(render(kiln_room_html(job_of(plan))), 0)
    left_of_boxes = next(left for word, left, *_edges in places if word == "done")
    assert max(right for word, _left, _top, right, _bottom in places if word == "19:47") < left_of_boxes - 0.5


@pytest.mark.parametrize(("noted", "over"), [(True, True), (False, False)])
def test_past_holds_of_a_kiln_that_is_on_are_struck_and_those_to_come_are_not(
    plan_24, teacher_client, monkeypatch, noted, over
):
    """On at 20:25 in Denver; the first hold, near 149 C, is over at 23:12 or so and the second comes hours later."""
    on_at = datetime.fromisoformat(plan_24.file["firings"][0]["on_at"])
    first, second = plan_24.file["firings"][0]["segments"][:2]
    ends = datetime.fromisoformat(first["ends_at"])
    if noted:
        StepRecord.objects.create(day=plan_24.day, do="kiln_on", what="k1", done_at=on_at)
    monkeypatch.setattr("casting.presenters.opened_plan.now", lambda: ends)
    sheet = OpenedPlan(plan_24).sheet
    assert [one.over for one in sheet.kilns[0].segments] == [over, *[False] * (len(sheet.kilns[0].segments) - 1)]
    before, _pours = rows_of(sheet, sheet.kilns[0])
    assert [row.to_c for row in before if row.struck] == ([first["to_c"]] if over else [])
    assert second["ends_at"] > first["ends_at"]
    page = teacher_client.get(reverse("day_plan", args=[plan_24.day_id])).content.decode()
    assert ('class="over"' in page) is over and page.count("past</span>") == (1 if over else 0)
