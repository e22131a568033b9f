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


def led_to(answer):
    """Where an answer leads on to, without what it is asked to come back to; or its code."""
    return answer.url.partition("?")[0] if answer.status_code == 302 else answer.status_code


def test_nobody_opens_what_is_not_theirs(
    site, school, other_teacher_client, student_client, stranger_client, teacher_client
):
    """Whoever is turned away changes nothing, so that all try every address of one school."""
    helper_client = client_of_teacher(PersonFactory(school=school, role=Role.HELPER))
    sign_in, came_back = reverse("sign_in"), reverse("came_back")
    for name, given in ROUTES:
        address, role = reverse(name, kwargs={key: site[key] for key in given}), OF[name]
        if role in ("helper", "teacher"):
            assert [led_to(asked(client, address)) for client in (stranger_client, student_client)] == [sign_in] * 2, (
                name
            )
            if set(given) - {"kind", "step"}:
                assert asked(other_teacher_client, address).status_code == 404, name
        if role == "teacher":
            assert asked(helper_client, address).status_code == 403, name
        if role == "student":
            others = (stranger_client, teacher_client, helper_client)
            assert [led_to(asked(client, address)) for client in others] == [came_back] * 3, name


@pytest.mark.usefixtures("blank_papers")
def test_a_helper_opens_what_helpers_are_for(site, school):
    helper_client = client_of_teacher(PersonFactory(school=school, role=Role.HELPER))
    for name, given in FOR_HELPERS:
        address = reverse(name, kwargs={key: site[key] for key in given})
        assert helper_client.get(address, follow=True).status_code in (200, 409), name
    assert Invitation.objects.count() == 1
