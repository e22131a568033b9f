"""Settings from the environment, strictly: a word that is not understood stops the start."""

import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

YES = {"1", "true", "yes", "on"}
NO = {"0", "false", "no", "off", ""}


def env_bool(name: str, default: bool = False) -> bool:
    value = os.environ.get(name)
    if value is None:
        return default
    word = value.strip().lower()
    if word not in YES | NO:
        raise ImproperlyConfigured(f"{name} must be 1 or 0, not {value!r}.")
    return word in YES


def env_list(name: str, default: list[str]) -> list[str]:
    value = os.environ.get(name)
    if value is None:
        return default
    return [part.strip() for part in value.split(",") if part.strip()]


def private_dir(path: Path) -> Path:
    """Return the directory, made if absent, that only its owner may enter."""
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    path.chmod(0o700)
    return path


def write_once(path: Path, text: str) -> str:
    """Return what the file holds; if there is none, it holds the text from now on, for its owner alone."""
    draft = path.with_name(f".{path.name}.{secrets.token_hex(6)}")
    if not path.exists():
        with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as out:
            out.write(text)
        try:
            # A link refuses to overwrite: of two first starts at once, one wins and both read it.
            os.link(draft, path)
        except FileExistsError:
            pass
        finally:
            draft.unlink()
    return path.read_text()
