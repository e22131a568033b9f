"""Widths of lines of text, each measured once: tables are laid out by the words of their cells, which recur."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any
from weakref import WeakKeyDictionary

DECIDES = (
    *("font_family", "font_style", "font_stretch", "font_weight", "font_size", "font_kerning"),
    *("font_variant_ligatures", "font_variant_position", "font_variant_caps", "font_variant_numeric"),
    *("font_variant_alternates", "font_variant_east_asian", "font_feature_settings", "font_variation_settings"),
    *("font_language_override", "lang", "direction", "letter_spacing", "word_spacing", "tab_size", "white_space"),
    *("overflow_wrap", "word_break", "hyphens", "hyphenate_limit_chars", "hyphenate_character", "hyphenate_limit_zone"),
)
"""All of a style that a width depends on, beside the fonts themselves."""

Line = tuple[None, None, int | None, float, None, None]
"""Where the next line begins, and the width: of what WeasyPrint says of a line, all that is asked for here."""


class LineWidths:
    """Stands for WeasyPrint's own measuring of lines where it asks how wide a text is at least and at most."""

    def __init__(self, measure: Callable[..., tuple[Any, ...]]) -> None:
        self.measure = measure
        self.known: WeakKeyDictionary[Any, dict[Hashable, Line]] = WeakKeyDictionary()

    def __call__(
        self, text: str, style: Any, context: Any, max_width: float | None, justification: float, **how: bool
    ) -> Line:
        known = self.known.setdefault(style.font_config, {})
        asked = text, _kind(style), max_width, *how.items()
        if asked not in known:
            _layout, _length, next_at, width, *_ = self.measure(text, style, context, max_width, justification, **how)
            known[asked] = None, None, next_at, width, None, None
        return known[asked]

    def forget(self, fonts: Any) -> None:
        """Measure anew what is set in these fonts: others have come among them."""
        self.known.pop(fonts, None)


def _kind(style: Any) -> str:
    """What of a style decides about widths, put together once for each."""
    kept: dict[str, str] = vars(style)
    if "decides" not in kept:
        kept["decides"] = str([style[name] for name in DECIDES])
    return kept["decides"]
