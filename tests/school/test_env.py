"""Settings from the environment, and files for their owner alone."""

import pytest
from django.core.exceptions import ImproperlyConfigured

from school.env import env_bool, env_list, private_dir, write_once


def test_a_switch_that_is_not_understood_stops_the_start(monkeypatch):
    monkeypatch.setenv("CASTING_HTTPS", "maybe")
    with pytest.raises(ImproperlyConfigured, match="maybe"):
        env_bool("CASTING_HTTPS")


def test_a_secret_is_written_once_for_its_owner_alone(tmp_path):
    room = private_dir(tmp_path / "data")
    assert write_once(room / "secret", "first") == "first"
    assert write_once(room / "secret", "second") == "first"
    assert (room / "secret").stat().st_mode & 0o777 == 0o600
    assert room.stat().st_mode & 0o777 == 0o700
    assert [path.name for path in room.iterdir()] == ["secret"]


@pytest.mark.parametrize(("value", "switch"), [("1", True), (" Yes ", True), ("off", False), ("", False)])
def test_a_switch_is_on_or_off(monkeypatch, value, switch):
    monkeypatch.setenv("CASTING_HTTPS", value)
    assert env_bool("CASTING_HTTPS") is switch


def test_what_the_environment_leaves_out_has_a_default(monkeypatch):
    for name in ("CASTING_HTTPS", "CASTING_HOSTS"):
        monkeypatch.delenv(name, raising=False)
    assert env_bool("CASTING_HTTPS", default=True) is True
    assert env_list("CASTING_HOSTS", ["localhost"]) == ["localhost"]


def test_a_list_is_parted_by_commas(monkeypatch):
    monkeypatch.setenv("CASTING_HOSTS", "tidewater.example, ,192.0.2.7 ")
    assert env_list("CASTING_HOSTS", []) == ["tidewater.example", "192.0.2.7"]
