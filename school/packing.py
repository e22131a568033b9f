"""Pages packed for slow Wi-Fi, but for those that hold a secret."""

from __future__ import annotations

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

SECRET = {
    *("join_class", "return_code", "new_code", "team", "invite_again", "put_away"),
    *("invited", "first_teacher", "open_demo"),
}
"""Pages that show a code or a link which opens an account.

How small a packed page gets tells who listens a little of what is in it. Django masks the token of each form anew in
every answer, and packs with a filling of random length; a code that stays the same from answer to answer is not packed.
"""


class PackedPagesMiddleware(GZipMiddleware):
    """Pack HTML; papers and static files are packed already."""

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        """Pack an answer if it is a page without a secret."""
        found = request.resolver_match
        if not response.get("Content-Type", "").startswith("text/html") or (found and found.view_name in SECRET):
            return response
        return super().process_response(request, response)
