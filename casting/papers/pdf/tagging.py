"""Completes the tags of a PDF for screen readers, where WeasyPrint leaves them out. No Django here.

A heading cell says whether it heads a column or a row; in a table without any, the first cell
with words heads its row. What stands on the page and in no
element of the structure (running heads, page numbers) is an artifact, so that a reader skips
it. A run of text without a letter is taken out of the structure. The title and the language
also stand where newer readers look. The file's own id comes from its bytes, and no date is
added: the same page gives the same file.
"""

from __future__ import annotations

import io
import re
from collections import defaultdict
from collections.abc import Iterator
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name

MARKED = re.compile(rb"/(\w+)\s+<<\s*/MCID (\d+)\s*>>\s+BDC\b(?:(\s+BT\s+ET\s+EMC\b))?")
Numbers = defaultdict[tuple[int, int], set[int]]
"""Runs by their page's number in the file."""


def mend(pdf: bytes) -> bytes:
    """Return the same paper with its structure completed."""
    with pikepdf.open(io.BytesIO(pdf)) as paper:
        root = paper.Root.get("/StructTreeRoot")
        if root is not None:
            used: Numbers = defaultdict(set)
            empty = _empty_runs(paper)
            _walk(root, used, empty, _parents(root))
            _head_rows(root)
            _mark_artifacts(paper, used)
        _name(paper)
        made = io.BytesIO()
        paper.save(made, deterministic_id=True, compress_streams=True)
    return made.getvalue()


def _name(paper: pikepdf.Pdf) -> None:
    """Write title and language where newer readers look, and ask for the title on the window."""
    preferences = paper.Root.get("/ViewerPreferences", Dictionary())
    preferences[Name.DisplayDocTitle] = True
    paper.Root[Name.ViewerPreferences] = preferences
    with paper.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as told:
        told["dc:title"] = str(paper.docinfo.get("/Title", ""))
        if "/Lang" in paper.Root:
            told["dc:language"] = {str(paper.Root.Lang)}


def _elements(kids: Any) -> Iterator[Any]:
    """The kids of an element, whether it has one or many."""
    if isinstance(kids, Array):
        yield from kids
    elif kids is not None:
        yield kids


def _parents(root: Any) -> dict[int, Any]:
    """For each page's number in the structure, the row of its runs' elements."""
    numbers = root.ParentTree.get("/Nums", Array()) if "/ParentTree" in root else Array()
    pairs = list(numbers)
    return {int(key): row for key, row in zip(pairs[::2], pairs[1::2], strict=True)}


def _empty_runs(paper: pikepdf.Pdf) -> Numbers:
    """The runs of each page that show no letter."""
    empty: Numbers = defaultdict(set)
    for page in paper.pages:
        for run in MARKED.finditer(page.Contents.read_bytes()):
            if run[3]:
                empty[page.obj.objgen].add(int(run[2]))
    return empty


def _walk(element: Any, used: Numbers, empty: Numbers, parents: dict[int, Any], in_head: bool = False) -> None:
    """Scope the heading cells below an element, note which runs it names, drop its empty ones."""
    kind = element.get("/S")
    if kind == Name.TH:
        _scope(element, in_head)
    in_head = in_head or kind == Name.THead
    kept = Array()
    for kid in _elements(element.get("/K")):
        if isinstance(kid, Dictionary) and "/S" in kid:
            _walk(kid, used, empty, parents, in_head)
            if "/K" in kid or kid.get("/S") != Name.Span:
                kept.append(kid)
            continue
        number = int(kid.MCID if isinstance(kid, Dictionary) else kid) if not _is_object(kid) else None
        page: Any = kid.Pg if isinstance(kid, Dictionary) and "/Pg" in kid else element.get("/Pg")
        if number is None or page is None:
            kept.append(kid)
        elif kind == Name.Span and number in empty[page.objgen]:
            parents[int(page.StructParents)][number] = None
        else:
            used[page.objgen].add(number)
            kept.append(kid)
    if len(kept):
        element[Name.K] = kept
    elif "/K" in element:
        del element[Name.K]


def _is_object(kid: Any) -> bool:
    """True for a reference to a link or the like, which has no run."""
    return isinstance(kid, Dictionary) and "/MCID" not in kid


def _scope(cell: Any, in_head: bool) -> None:
    """Set the scope of a heading cell: its column or its row."""
    rules = cell.get("/A")
    rules = rules[0] if isinstance(rules, Array) else rules
    if rules is None:
        rules = Dictionary(O=Name.Table)
        cell[Name.A] = rules
    rules[Name.Scope] = Name.Column if in_head else Name.Row


def _below(element: Any, kind: Name) -> Iterator[Any]:
    """The elements of a kind below an element, in order."""
    for kid in _elements(element.get("/K")):
        if isinstance(kid, Dictionary) and "/S" in kid:
            if kid.get("/S") == kind:
                yield kid
            yield from _below(kid, kind)


def _has_words(element: Any) -> bool:
    """True if a run of text is in an element or below it."""
    kids = list(_elements(element.get("/K")))
    return any(_has_words(kid) if isinstance(kid, Dictionary) and "/S" in kid else True for kid in kids)


def _head_rows(root: Any) -> None:
    """In a table without a heading cell, let the first cell with words head its row."""
    for table in _below(root, Name.Table):
        if any(True for _ in _below(table, Name.TH)):
            continue
        for row in _below(table, Name.TR):
            cell = next((cell for cell in _below(row, Name.TD) if _has_words(cell)), None)
            if cell is not None:
                cell[Name.S] = Name.TH
                _scope(cell, in_head=False)


def _mark_artifacts(paper: pikepdf.Pdf, used: Numbers) -> None:
    """Turn every run that no element names into an artifact."""
    for page in paper.pages:
        named = used[page.obj.objgen]

        def marked(run: re.Match[bytes], named: set[int] = named) -> bytes:
            return run[0] if int(run[2]) in named else b"/Artifact BMC" + (run[3] or b"")

        page.Contents = paper.make_stream(MARKED.sub(marked, page.Contents.read_bytes()))
