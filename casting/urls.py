"""The addresses of the casting days, one line a page."""

from __future__ import annotations

from django.urls import URLPattern, path

from casting.views import day_plan, days, flask_cards, flasks, hand_in, my_waxes, papers, safety, search, sources, waxes

urlpatterns: list[URLPattern] = [
    path("hand-in/", hand_in.hand_in, name="hand_in"),
    path("hand-in/<int:day_id>/", hand_in.hand_in, name="hand_in_day"),
    path("my-waxes/", my_waxes.my_waxes, name="my_waxes"),
    path("my-waxes/<int:wax_id>/", hand_in.change_wax, name="change_wax"),
    path("my-waxes/<int:wax_id>/withdraw/", my_waxes.withdraw_wax, name="withdraw_wax"),
    path("my-waxes/<int:wax_id>/bring-back/", my_waxes.bring_back_wax, name="bring_back_wax"),
    path("safety/", safety.safety, name="safety"),
    path("sources/", sources.sources, name="sources"),
    path("days/", days.days, name="days"),
    path("days/new/", days.new_day, name="new_day"),
    path("days/<int:day_id>/change/", days.change_day, name="change_day"),
    path("days/<int:day_id>/waxes/", waxes.waxes, name="waxes"),
    path("days/<int:day_id>/waxes/close/", waxes.close_waxes, name="close_waxes"),
    path("days/<int:day_id>/waxes/<int:wax_id>/hold/", waxes.hold_wax, name="hold_wax"),
    path("days/<int:day_id>/waxes/<int:wax_id>/return/", waxes.return_wax, name="return_wax"),
    path("days/<int:day_id>/plan/make/", search.make_plan, name="make_plan"),
    path("days/<int:day_id>/plan/search/", search.search, name="search"),
    path("days/<int:day_id>/plan/search/end/", search.end_search, name="end_search"),
    path("days/<int:day_id>/flasks/", flasks.flasks, name="flasks"),
    path("days/<int:day_id>/flasks/saves/", flasks.saves, name="saves"),
    path("days/<int:day_id>/flasks/sooner/", flasks.take_sooner_plan, name="take_sooner"),
    path("days/<int:day_id>/flasks/clear/", flasks.clear_caution, name="clear_caution"),
    path("days/<int:day_id>/flasks/<slug:label>/invested-at/", flasks.invested_at, name="invested_at"),
    path("days/<int:day_id>/flasks/<slug:label>/", flasks.mark_flask, name="mark_flask"),
    path("days/<int:day_id>/day-plan/", day_plan.day_plan, name="day_plan"),
    path("days/<int:day_id>/day-plan.ics", day_plan.day_calendar, name="day_calendar"),
    path("days/<int:day_id>/day-plan/kiln/", day_plan.mark_kiln, name="mark_kiln"),
    path("days/<int:day_id>/papers/", papers.papers, name="papers"),
    path("days/<int:day_id>/flask-cards/", flask_cards.flask_cards, name="flask_cards"),
    path("days/<int:day_id>/flask-cards.pdf", flask_cards.flask_cards_pdf, name="flask_cards_pdf"),
    path("days/<int:day_id>/papers/all.pdf", papers.papers_in_one, name="papers_in_one"),
    path("days/<int:day_id>/papers/<slug:key>.pdf", papers.paper_pdf, name="paper_pdf"),
    path("days/<int:day_id>/papers/<slug:which>.zip", papers.papers_zip, name="papers_zip"),
    path("days/<int:day_id>/day-plan.pdf", papers.paper_pdf, {"key": "day-plan"}, name="day_plan_pdf"),
]
