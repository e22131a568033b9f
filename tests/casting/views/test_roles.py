"""Who may open which address: every address of the site has its row, and each role is tried at each."""

import pytest
from django.urls import reverse
from django.utils import timezone

from casting.models import BasePhoto, DefectPhoto, PieceDefect, Recast, WaxPhoto
from casting.services.running.noting import note
from school.models import Invitation, Role
from school.students import remove
from school.team import invite
from tests.addresses import ROUTES
from tests.casting.account_days import an_entry
from tests.casting.planned import make_plan
from tests.casting_factories import handed_in
from tests.conftest import client_of_teacher
from tests.factories import PersonFactory, StudentFactory

ANYBODY = """
    home join join_class came_back come_back_here sign_in sign_out open_demo keeper_sign_in first_teacher invited worker
"""
STUDENT = """
    my_name return_code forget_me hand_in hand_in_day my_waxes my_calendar wax_tag change_wax withdraw_wax
    bring_back_wax
    own_photo own_small_photo keep_own_photo hand_in_photo
"""
HELPER = """
    me leave days waxes flasks mark_flask invested_at poured_at day_plan day_calendar mark_kiln papers paper_pdf
    papers_zip papers_in_one day_plan_pdf board board_beside flask_cards flask_cards_pdf sources waxes_csv
    charges_csv weigh_in correct_wax metal_account flask_metal pours tick defects take_back_defect
    keep_defect_photo defect_photo small_defect_photo
    kiln_room kiln_reading mounting weigh_base mixing note_bowl
    keep_base_photo base_photo small_base_photo
    mishap recast recast_of_day put_on_recast
    wax_photo small_photo keep_photo
"""
TEACHER = """
    school_page take_away team invite_again withdraw_invitation put_away people poster spell_name new_code undo_code
    student merge_student remove_student undo_change open_or_close roster
    safety new_day change_day day_state close_waxes hold_wax return_wax make_plan search end_search saves take_sooner
    take_second clear_caution take_clearance_back board_step board_spot board_rest board_offer board_bring_back
    equipment metals new_thing thing move_thing parts_echo rubber_bases
    count_on_gloss
    set_up set_up_on set_up_list rehearsal
    recast_piece
    house_rules firing_echo shelf_csv roster_csv style take_back stock take_back_stock prices bills bills_csv pay_bill
    learning take_learned year year_csv
    defect_history
"""
OF = {name: role for role, names in (
    ("anybody", ANYBODY), ("student", STUDENT), ("helper", HELPER), ("teacher", TEACHER)
) for name in names.split()}  # fmt: skip
"""The role table: who is asked for at each address. A teacher may do whatever a helper may."""
FOR_HELPERS = [(name, given) for name, given in ROUTES if OF.get(name) == "helper"]


@pytest.fixture
def site(day, student, teacher):
    """A day with a wax, a plan and an open invitation, by the names of the arguments of addresses."""
    wax = handed_in(day, student)
    WaxPhoto.objects.create(wax=wax, sent_as="x", jpeg=b"jpeg", small=b"jpeg")
    make_plan(day, by=teacher)
    invitation, _token = invite(teacher, "Nadia Ferro", Role.HELPER)
    given = {"day_id": day.pk, "wax_id": wax.pk, "course_id": day.course_id, "student_id": student.pk}
    given |= {"label": "A", "key": "mix", "which": "all", "code": day.course.code, "person_id": teacher.pk}
    given["defect_id"] = PieceDefect.objects.create(wax=wax, kind="rough", where="thin", by=teacher).pk
    given["recast_id"] = Recast.objects.create(wax=wax, fate="again", at=timezone.now(), by=teacher).pk
    DefectPhoto.objects.create(defect_id=given["defect_id"], sent_as="x", jpeg=b"jpeg", small=b"jpeg")
    noted = note(day, "photo", "A", at=timezone.now(), by=teacher, figures={"tags": [wax.tag], "photo": "x"})
    BasePhoto.objects.create(step=noted, sent_as="x", jpeg=b"jpeg", small=b"jpeg")
    given |= {"kind": "metals", "step": "metals", "row_id": wax.alloy_id, "entry_id": an_entry(day, teacher).pk}
    change = remove(teacher, StudentFactory(course=day.course).pk)
    return given | {"invitation_id": invitation.pk, "change_id": change.pk}


def asked(client, address):
    """The answer to a POST, or to a GET where nothing is posted."""
    answer = client.post(address)
    return client.get(address) if answer.status_code == 405 else answer


def test_every_address_has_its_row():
    names = {name for name, _given in ROUTES}
    assert names - set(OF) == set(), "a new address: say in the table above who may open it"
    assert set(OF) - names == set()


@pytest.mark.parametrize(("name", "given"), ROUTES, ids=[name for name, _given in ROUTES])
def test_nobody_opens_what_is_not_theirs(
    name, given, site, school, other_teacher_client, student_client, stranger_client, teacher_client
):
    address = reverse(name, kwargs={key: site[key] for key in given})
    role = OF[name]
    helper_client = client_of_teacher(PersonFactory(school=school, role=Role.HELPER))
    if role in ("helper", "teacher"):
        for client in (stranger_client, student_client):
            assert asked(client, address).url.startswith(reverse("sign_in"))
        if set(given) - {"kind", "step"}:
            assert asked(other_teacher_client, address).status_code == 404
    if role == "teacher":
        assert asked(helper_client, address).status_code == 403
    if role == "student":
        for client in (stranger_client, teacher_client, helper_client):
            assert asked(client, address).url == reverse("came_back")


@pytest.mark.usefixtures("blank_papers")
@pytest.mark.parametrize(("name", "given"), FOR_HELPERS, ids=[name for name, _given in FOR_HELPERS])
def test_a_helper_opens_what_helpers_are_for(name, given, site, school):
    address = reverse(name, kwargs={key: site[key] for key in given})
    helper_client = client_of_teacher(PersonFactory(school=school, role=Role.HELPER))
    assert helper_client.get(address, follow=True).status_code in (200, 409)
    assert Invitation.objects.count() == 1
