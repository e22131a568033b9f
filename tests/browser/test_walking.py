"""What the walk says of a page with something wrong in it: each thing that it looks for is planted and found."""

from __future__ import annotations

from tests.browser.walking import complaints_of, with_axe

PAGE = """<html lang="en"><head><title>Flasks</title><meta name="viewport" content="width=device-width"><style>
body { color: #111; background: #fff; } li { line-height: 3; } a { color: #00c; }
:focus-visible { outline: 3px solid #00c; }
@media (prefers-color-scheme: dark) { body { color: #eee; background: #111; } a { color: #9cf; } }
%s
</style></head><body><main><h1>Flasks</h1><p>The first.</p><p>The second.</p>
<ul><li><a href="/1">One flask</a></li><li><a href="/2">Two flasks</a></li></ul>%s</main></body></html>"""
DARK = "@media (prefers-color-scheme: dark)"
PLANTED = [
    ("", "", []),
    (
        "p { color: #999; } [href='/2']:focus-visible { outline: none; } h1 { transition: color 2s; }",
        "<input><button tabindex='-1'>Go</button><div style='width: 400px'>Wide</div>",
        ["label ", "color-contrast ", "its focus is not seen: a", "not reached by Tab in its turn: button",
         "moves: <h1", "320 px: the page is ", "320 px: over the right edge: div"],
    ),
    (
        f"{DARK} {{ p {{ color: #444; }} }} ul {{ display: flex; flex-direction: column-reverse; }}",
        "<div style='width: 30px; overflow: hidden'>Clipped</div>",
        ["in the dark, color-contrast ", "is seen in another order than Tab goes: ul", "1280 px: clipped: div"],
    ),
    ("main { background: #555; }", "", ["color-contrast "]),
    (f"{DARK} {{ p:nth-of-type(2) {{ color: #444; }} }}", "", ["in the dark, color-contrast "]),
    (f"{DARK} {{ li + li {{ background: #789; }} }}", "", ["in the dark, color-contrast "]),
]  # fmt: skip


def test_what_is_planted_is_found(chromium):
    context = chromium.new_context()
    with_axe(context)
    page = context.new_page()
    page.route("**/*", lambda route: route.fulfill(body=html, content_type="text/html"))
    for style, more, wrong in PLANTED:
        html = PAGE % (style, more)
        page.goto("http://127.0.0.1:9/")
        said = complaints_of(page)
        assert all(any(one.startswith(begun) for one in said) for begun in wrong), (style, more, said)
        assert bool(said) is bool(wrong), (style, more, said)
    context.close()
