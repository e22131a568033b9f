"""The note under a page with figures from memory."""

from types import SimpleNamespace

from django.template import Context, Template

from casting.calc.values.marked_text import FROM_MEMORY

PAGE = Template("{% load memory %}{% stars_explained %}<p>{{ heat }}</p>{% endstars_explained %}")


def test_a_page_with_a_star_says_what_it_means():
    page = PAGE.render(Context({"heat": f"538 C{FROM_MEMORY}"}))
    assert page.startswith(f"<p>538 C{FROM_MEMORY}</p>")
    assert "from memory: check the supplier&#x27;s sheet." in page


def test_a_page_without_one_has_no_note_whatever_people_typed():
    assert PAGE.render(Context({"heat": "my ring *"})) == "<p>my ring *</p>"


def test_the_note_leads_a_teacher_to_all_figures_from_memory_and_nobody_else():
    for person, led in ((object(), True), (None, False)):
        page = PAGE.render(Context({"heat": f"538 C{FROM_MEMORY}", "request": SimpleNamespace(person=person)}))
        assert ('href="/sources/#from-memory"' in page) is led
