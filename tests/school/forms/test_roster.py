"""The form of a class's roster."""

from django.core.files.uploadedfile import SimpleUploadedFile

from school.forms.roster import RosterForm


def test_a_file_goes_before_what_is_typed_and_says_its_letters():
    file = SimpleUploadedFile("class.csv", "name\nJosé".encode("cp1252"))
    form = RosterForm({"names": "Ana"}, {"file": file})
    assert form.is_valid() and form.named == [(2, "José")] and form.encoding == "Windows-1252"
    typed = RosterForm({"names": "Ana"})
    assert typed.is_valid() and typed.named == [(1, "Ana")] and typed.encoding == "" and typed.most == 200


def test_what_cannot_be_read_is_told_at_its_field():
    assert "no names" in RosterForm({"names": " "}).errors["names"][0]
    sheet = RosterForm({}, {"file": SimpleUploadedFile("class.xlsx", b"PK\x03\x04")})
    assert "Save the list as a CSV file" in sheet.errors["file"][0]
    assert "no names" in RosterForm({}, {"file": SimpleUploadedFile("class.csv", b"name\n")}).errors["file"][0]
