"""Links from a figure on a teacher's page to its row on the page of sources."""

from __future__ import annotations

import re

from django import template
from django.utils.html import conditional_escape, format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from casting.calc.values.marked_text import FROM_MEMORY
from casting.presenters import source_rows
from casting.presenters.cautions import ShownCaution
from casting.presenters.plan_sheet import FlaskSheet, KilnNight, LeftOutLine, PlanSheet, SegmentLine, StepLine

register = template.Library()

SUM = re.compile(r'(<p(?: class="sum-(\w+)")?>)')
"""How a sum of a working begins; its class says what it is of, if that is no wax and no trunk."""

register.filter("row_of", source_rows.row_of)
register.filter("flask_c_row", source_rows.flask_c_row)
register.filter("quench_row", source_rows.quench_row)
register.filter("source_address", source_rows.address_of)


@register.simple_tag
def working_rows(sheet: PlanSheet, flask: FlaskSheet) -> list[tuple[str, str]]:
    """The rows behind the working of a flask."""
    return list(source_rows.working_rows(sheet, flask).items())


@register.filter
def leads_to(figure: object, row: str) -> SafeString:
    """A figure as a link to its row."""
    return format_html('<a class="source" href="{}">{}</a>', source_rows.address_of(row), figure)


@register.filter
def stars_to(words: str, row: str) -> SafeString:
    """A sentence with each of its stars as a link to a row."""
    return _linked(str(conditional_escape(words)), row)


def _linked(escaped: str, row: str) -> SafeString:
    """Text of a page with each of its stars as a link."""
    if FROM_MEMORY not in escaped or not row:
        return SafeString(escaped)
    label = _("from memory: see where it comes from")
    star = format_html(
        '<a class="source" href="{}" aria-label="{}">{}</a>', source_rows.address_of(row), label, FROM_MEMORY
    )
    return SafeString(escaped.replace(FROM_MEMORY, star))


@register.simple_block_tag
def stars_of_sums(content: str, sheet: PlanSheet, flask: FlaskSheet) -> SafeString:
    """A flask's working, a paragraph for each sum, with its stars as links to what each comes from."""
    pieces = SUM.split(content)
    linked = [pieces[0]]
    for opening, what, sum_ in zip(pieces[1::3], pieces[2::3], pieces[3::3], strict=True):
        linked += [opening, _linked(sum_, source_rows.sum_row(sheet, flask, what or ""))]
    return SafeString("".join(linked))


@register.simple_tag
def step_words(sheet: PlanSheet, step: StepLine) -> SafeString:
    """A step's words, with its stars as links."""
    return stars_to(step.say, source_rows.step_row(sheet, step))


@register.simple_tag
def caution_words(sheet: PlanSheet, caution: ShownCaution) -> SafeString:
    """A caution's words, with its stars as links."""
    return stars_to(caution.text, source_rows.starred_row(sheet, caution.id, caution.as_raised))


@register.simple_tag
def left_out_words(sheet: PlanSheet, wax: LeftOutLine) -> SafeString:
    """Why a wax is left out, with stars as links to its metal."""
    return stars_to(wax.detail, source_rows.row_of(sheet.day.alloys[sheet.day.wax(wax.name.tag).alloy]))


@register.simple_tag
def heat_source(figure: str, sheet: PlanSheet, night: KilnNight, segment: SegmentLine) -> SafeString:
    """A temperature of a kiln as a link to its row."""
    return leads_to(figure, source_rows.heat_row(sheet, night, segment))


@register.simple_tag
def ramp_source(figure: str, sheet: PlanSheet, night: KilnNight, segment: SegmentLine) -> SafeString:
    """A ramp of a kiln as a link to its row."""
    return leads_to(figure, source_rows.ramp_row(sheet, night, segment))


@register.filter
def rule_source(caution: ShownCaution) -> SafeString:
    """A link to where a caution's rule comes from, with that source as its name for those who cannot see it."""
    row = source_rows.caution_row(caution.id)
    name = _("source: %(basis)s") % {"basis": caution.basis}
    return format_html(
        '<a class="source" href="{}" aria-label="{}">{}</a>', source_rows.address_of(row), name, _("source")
    )
