"""Reads settings from the environment, and keeps private files and folders."""

import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

YES = {"1", "true", "yes", "on"}
NO = {"0", "false", "no", "off", ""}


def env_bool(name: str, default: bool = False) -> bool:
    """Return a switch of the environment; `ImproperlyConfigured` if its value is neither yes nor no."""
    value = os.environ.get(name)
    if value is None:
        return default
    word = value.strip().lower()
    if word not in YES | NO:
        raise ImproperlyConfigured(f"{name} must be 1 or 0, not {value!r}.")
    return word in YES


def env_list(name: str, default: list[str]) -> list[str]:
    """Return a comma-separated list of the environment."""
    value = os.environ.get(name)
    if value is None:
        return default
    return [part.strip() for part in value.split(",") if part.strip()]


def private_dir(path: Path) -> Path:
    """Make the directory if it is absent, open it to its owner alone, and return it."""
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    path.chmod(0o700)
    return path


def write_once(path: Path, text: str) -> str:
    """Return the content of the file; if there is none, first write the text into it, readable by its owner alone."""
    draft = path.with_name(f".{path.name}.{secrets.token_hex(6)}")
    if not path.exists():
        with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as out:
            out.write(text)
        try:
            # A link never overwrites: if two processes start at once, one of them wins and both read its file.
            os.link(draft, path)
        except FileExistsError:
            pass
        finally:
            draft.unlink()
    return path.read_text()
