"""Joins papers to one PDF for printing on both sides: each begins on a front, with a bookmark. No Django here.

The tags of each paper stay, below an element with the paper's title and language. No date is added, and the file's own
id comes from its bytes: the same papers give the same file.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, OutlineItem, String

KEPT = ("/Author", "/CreationDate", "/ModDate", "/Producer")
"""What the joined file says of itself as its first dated paper does."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A paper to join; of one that is cut up or hung on flasks, `fronts` leaves every back blank."""

    title: str
    pdf: bytes
    fronts: bool = False


def join(pieces: Sequence[Piece], title: str, language: str) -> bytes:
    """Return the pieces as one PDF, each on a front and behind a bookmark of its title."""
    with pikepdf.new() as whole:
        document = whole.make_indirect(Dictionary(Type=Name.StructElem, S=Name.Document, K=Array()))
        rows, bookmarks = Array(), []
        for piece in pieces:
            bookmarks.append((piece.title, len(whole.pages)))
            with pikepdf.open(io.BytesIO(piece.pdf)) as paper:
                _add(whole, paper, piece, document, rows)
        with whole.open_outline() as outline:
            outline.root.extend(OutlineItem(name, page) for name, page in bookmarks)
        root = whole.make_indirect(Dictionary(Type=Name.StructTreeRoot, K=Array([document])))
        root.ParentTree = whole.make_indirect(Dictionary(Nums=rows))
        root.ParentTreeNextKey = len(rows) // 2
        document.P = root
        whole.Root.StructTreeRoot = root
        whole.Root.MarkInfo = Dictionary(Marked=True)
        _name(whole, title, language)
        made = io.BytesIO()
        whole.save(made, deterministic_id=True, compress_streams=True, min_version="1.7")
    return made.getvalue()


def _add(whole: pikepdf.Pdf, paper: pikepdf.Pdf, piece: Piece, document: Any, rows: Any) -> None:
    """Append a paper's pages, its blank backs and its tags."""
    first = len(whole.pages)
    whole.pages.extend(paper.pages)
    added = list(whole.pages)[first:]
    _number(added, len(rows) // 2)
    if "/StructTreeRoot" in paper.Root:
        _add_tags(whole, paper, piece, document, rows)
    for key in KEPT:
        if key in paper.docinfo and key not in whole.docinfo:
            whole.docinfo[key] = str(paper.docinfo[key])
    blank_behind = added if piece.fronts else added[-1:] if len(added) % 2 else []
    for page in reversed(blank_behind):
        back = Dictionary(Type=Name.Page, MediaBox=Array(page.mediabox), Resources=Dictionary())
        whole.pages.insert(page.index + 1, pikepdf.Page(whole.make_indirect(back)))


def _number(pages: Sequence[pikepdf.Page], shift: int) -> None:
    """Let pages and links name their own rows of the joined tree."""
    for page in pages:
        if "/StructParents" in page.obj:
            page.obj.StructParents = int(page.obj.StructParents) + shift
        for note in page.obj.get("/Annots", Array()):
            if "/StructParent" in note:
                note.StructParent = int(note.StructParent) + shift


def _add_tags(whole: pikepdf.Pdf, paper: pikepdf.Pdf, piece: Piece, document: Any, rows: Any) -> None:
    """Put a paper's elements below the document, and its rows behind those of the papers before it."""
    shift = len(rows) // 2
    # The pages are there already, so that what is copied names these.
    root = whole.copy_foreign(paper.make_indirect(paper.Root.StructTreeRoot))
    tops = root.K if isinstance(root.K, Array) else Array([root.K])
    part = whole.make_indirect(Dictionary(Type=Name.StructElem, S=Name.Part, P=document, K=tops))
    part.T = String(piece.title)
    if "/Lang" in paper.Root:
        part.Lang = String(str(paper.Root.Lang))
    for top in tops:
        top.P = part
        # There is one document; within it a paper is a part.
        top.S = Name.Sect if str(top.S) == "/Document" else top.S
    document.K.append(part)
    numbers = list(root.ParentTree.Nums)
    ordered = sorted(zip(numbers[::2], numbers[1::2], strict=True), key=lambda one: int(one[0]))
    if [int(key) for key, _row in ordered] != list(range(len(ordered))):
        raise ValueError(f"The tags of {piece.title} leave a row out.")
    for nth, (_key, row) in enumerate(ordered):
        rows.extend([nth + shift, row])


def _name(whole: pikepdf.Pdf, title: str, language: str) -> None:
    """Write title and language where readers look."""
    whole.docinfo[Name.Title] = title
    whole.Root.Lang = String(language)
    whole.Root.ViewerPreferences = Dictionary(DisplayDocTitle=True)
    with whole.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as told:
        told["dc:title"] = title
        told["dc:language"] = {language}
