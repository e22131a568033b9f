"""What stands between the site and the world: headers, policy, files, pragmas."""

import re
import subprocess
import sys
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.urls import reverse

ROOT = Path(__file__).resolve().parent.parent.parent
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}


def answers(course, teacher_client):
    """Return one answer of every kind: 200, 302, 403, 404, 405, 422."""
    stranger = Client()
    guarded = Client(enforce_csrf_checks=True)
    return [
        stranger.get(reverse("join_class", args=[course.code])),
        teacher_client.get(reverse("people")),
        stranger.get(reverse("people")),
        guarded.post(reverse("join"), {"code": "ZZZZZZ"}),
        stranger.get("/no-such-page/"),
        stranger.put(reverse("sign_out")),
        stranger.post(reverse("join"), {"code": "x"}),
    ]


def test_every_answer_carries_the_headers_and_a_policy_without_unsafe(course, teacher_client):
    pages = answers(course, teacher_client)
    assert [page.status_code for page in pages] == [200, 200, 302, 403, 404, 405, 422]
    for page in pages:
        assert {name: page[name] for name in HEADERS} == HEADERS
        policy = page["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "*" not in policy


def test_no_page_has_a_style_without_its_nonce_a_script_or_another_host(course, teacher_client):
    for page in answers(course, teacher_client):
        body = page.content.decode()
        assert not re.search(r"\sstyle=|\son[a-z]+=", body)
        for style in re.findall(r"<style[^>]*>", body):
            nonce = re.fullmatch(r'<style nonce="([^"]+)">', style).group(1)
            assert f"style-src 'self' 'nonce-{nonce}'" in page["Content-Security-Policy"]
        for script in re.findall(r"<script[^>]*>", body):
            assert 'src="/static/' in script
        assert not re.search(r'(src|href|action)="(https?:)?//', body)


def test_scripts_carry_the_nonce_of_the_policy(stranger_client):
    page = stranger_client.get(reverse("join"))
    nonce = re.search(r'nonce="([^"]+)"', page.content.decode()).group(1)
    assert f"'nonce-{nonce}'" in page["Content-Security-Policy"]


def test_a_foreign_host_name_is_refused(stranger_client):
    assert stranger_client.get("/", headers={"host": "elsewhere.example"}).status_code == 400


def test_who_is_known_gets_pages_that_no_cache_keeps(student_client, teacher_client):
    for client in (student_client, teacher_client):
        assert "no-store" in client.get(reverse("join"))["Cache-Control"]


def test_debug_is_off_unless_asked_for():
    assert settings.DEBUG is False
    from school import settings as module

    assert module.DEBUG is False


def test_the_deploy_check_finds_nothing(capfd):
    call_command("check", deploy=True, fail_level="WARNING")
    assert "0 silenced" not in capfd.readouterr().out  # the silenced ones are named in settings


def test_over_https_the_deploy_check_needs_only_two_silenced():
    silenced = run_python(
        "from school import settings as s; print(*s.SILENCED_SYSTEM_CHECKS, s.SESSION_COOKIE_SECURE,"
        " s.CSRF_COOKIE_SECURE, s.SECURE_SSL_REDIRECT, s.SECURE_HSTS_SECONDS > 0)",
        CASTING_HTTPS="1",
    )
    assert silenced.split() == ["security.W005", "security.W021", "True", "True", "True", "True"]


def run_python(code, **environment):
    import os

    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT, env={**os.environ, **environment}, capture_output=True, text=True, check=True,
    )  # fmt: skip
    return done.stdout


def test_the_database_runs_with_the_pragmas_that_survive_a_power_cut(db):
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            journal, synchronous, by_itself = (
                cursor.execute(f"PRAGMA {name}").fetchone()[0]
                for name in ("journal_mode", "synchronous", "wal_autocheckpoint")
            )
        # SQLite's documentation of PRAGMA synchronous: 2 is FULL.
        assert (journal, synchronous, by_itself) == ("wal", 2, 0)
