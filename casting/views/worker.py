"""The script that keeps a student's own pages on their phone; it stands at the root, so that it may answer for them."""

from __future__ import annotations

from django.conf import settings
from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

SCRIPT = settings.BASE_DIR / "static" / "js" / "worker.js"


def deployment() -> str:
    """What changes with every deployment that changes a static file; one word where the files have no manifest."""
    return str(getattr(staticfiles_storage, "manifest_hash", "") or "plain")


@require_safe
@cache_control(no_cache=True)
def worker(_request: HttpRequest) -> HttpResponse:
    """The script, preceded by the deployment that it belongs to: a browser takes a new one when a byte differs."""
    script = f'const VERSION = "{deployment()}";\n{SCRIPT.read_text("utf-8")}'
    return HttpResponse(script, content_type="text/javascript; charset=utf-8")
