"""The page on which a teacher takes the whole school away, as one file."""

from __future__ import annotations

import tempfile

from django.http import FileResponse
from django.http.response import HttpResponseBase
from django.template.response import TemplateResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from casting.selectors.takeaway import pack
from school.access import TeacherRequest, teacher_required

IN_MEMORY = 5_000_000
"""Bytes of a file that are kept in memory; the rest goes to a file of the system's, which is gone when it is closed."""


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
@teacher_required
def take_away(request: TeacherRequest) -> HttpResponseBase:
    """Say what the file holds; answer it to the button."""
    if request.method != "POST":
        return TemplateResponse(request, "casting/take_away/take_away.html", {})
    now = timezone.now()
    out = tempfile.SpooledTemporaryFile(max_size=IN_MEMORY)  # noqa: SIM115 - the answer closes it
    pack(request.school, out, now)
    out.seek(0)
    name = f"{request.school.slug}-{now.astimezone(request.school.tz):%Y-%m-%d}.zip"
    return FileResponse(out, as_attachment=True, filename=name, content_type="application/zip")
