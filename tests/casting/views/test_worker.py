"""The script that keeps a student's pages stands at the root, is asked for each time, differs with each deployment."""

import re

from django.urls import reverse

from casting.views import worker


def test_it_may_answer_for_every_page_and_is_never_taken_from_a_store(stranger_client):
    assert reverse("worker").count("/") == 1  # a worker answers for what stands beside or below it
    answer = stranger_client.get(reverse("worker"))
    assert answer["Content-Type"] == "text/javascript; charset=utf-8"
    assert answer["Cache-Control"] == "no-cache"
    assert "worker-src 'self'" in answer["Content-Security-Policy"]


def test_a_deployment_changes_it(stranger_client, monkeypatch):
    before = stranger_client.get(reverse("worker")).content.decode()
    monkeypatch.setattr(worker.staticfiles_storage, "manifest_hash", "0123456789ab", raising=False)
    after = stranger_client.get(reverse("worker")).content.decode()
    assert re.match(r'const VERSION = "(\w+)";', before)[1] == "plain"
    assert re.match(r'const VERSION = "(\w+)";', after)[1] == "0123456789ab"
    assert before.partition("\n")[2] == after.partition("\n")[2] == worker.SCRIPT.read_text("utf-8")
