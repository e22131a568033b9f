"""Notes and photos of a day's waxes, by tag, in one query."""

from casting.models import WaxPhoto
from casting.selectors.wax_extras import WaxExtra, extras_of, marks_of_extras
from casting.services.waxes import withdraw
from tests.casting_factories import handed_in


def test_what_was_given_along_is_found_by_tag_and_nothing_of_others(day, student, django_assert_num_queries):
    handed_in(day, student)
    noted, shown = handed_in(day, student, note="no polish"), handed_in(day, student)
    gone = handed_in(day, student, note="withdrawn")
    withdraw(gone, by=student, version=1)
    WaxPhoto.objects.create(wax=shown, sent_as="abc", jpeg=b"large", small=b"small")
    with django_assert_num_queries(1):
        assert extras_of(day) == {noted.tag: WaxExtra("no polish", b""), shown.tag: WaxExtra("", b"small")}
    with django_assert_num_queries(1):
        assert marks_of_extras(day) == sorted([(noted.tag, "no polish", None), (shown.tag, "", "abc")])
