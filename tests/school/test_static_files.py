"""Static files, compressed and under names that change with their content."""

import gzip

from django.contrib.staticfiles.utils import get_files
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage

from school.static_files import CompressedStaticFiles

STYLE = ".flask { stroke: black; }" * 200


def packed(folder, style):
    """Pack one style sheet; return the storage and the name that it is served under."""
    storage = CompressedStaticFiles(location=folder, base_url="/static/")
    FileSystemStorage(folder).delete("flask.css")
    FileSystemStorage(folder).save("flask.css", ContentFile(style))
    files = {name: (FileSystemStorage(folder), name) for name in get_files(storage) if name == "flask.css"}
    for _name, _served, fault in storage.post_process(files):
        assert not isinstance(fault, Exception)
    return storage.stored_name("flask.css")


def test_another_content_has_another_name(tmp_path):
    first = packed(tmp_path, STYLE)
    assert packed(tmp_path, STYLE) == first
    assert packed(tmp_path, STYLE + "b { color: red; }") != first


def test_a_file_is_packed_with_gzip_alone(tmp_path):
    name = packed(tmp_path, STYLE)
    assert gzip.decompress((tmp_path / f"{name}.gz").read_bytes()).decode() == STYLE
    assert not list(tmp_path.glob("*.br"))
