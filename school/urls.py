"""The addresses of the site; those of the casting days come last."""

from django.contrib import admin
from django.urls import include, path

from school import demo
from school.views import doors, first_teacher, me, own, people, roster, school_page, students, team

urlpatterns = [
    path("", doors.home, name="home"),
    path("join/", doors.join, name="join"),
    path("join/<slug:code>/", doors.join_class, name="join_class"),
    path("back/", doors.came_back, name="came_back"),
    path("name/", people.my_name, name="my_name"),
    path("return-code/", own.return_code, name="return_code"),
    path("back/here/", own.come_back_here, name="come_back_here"),
    path("forget-me/", own.forget_me, name="forget_me"),
    path("sign-in/", doors.sign_in, name="sign_in"),
    path("sign-out/", doors.sign_out, name="sign_out"),
    path("first-teacher/", first_teacher.first_teacher, name="first_teacher"),
    path("school/team/", team.team, name="team"),
    path("school/team/invitations/<int:invitation_id>/again/", team.invite_again, name="invite_again"),
    path("school/team/invitations/<int:invitation_id>/withdraw/", team.withdraw_invitation, name="withdraw_invitation"),
    path("school/team/<int:person_id>/put-away/", team.put_away, name="put_away"),
    path("invited/", team.invited, name="invited"),
    path("me/", me.me, name="me"),
    path("me/leave/", team.leave, name="leave"),
    path("school/", school_page.school_page, name="school_page"),
    path("classes/", people.people, name="people"),
    path("classes/<int:course_id>/poster/", people.poster, name="poster"),
    path("classes/students/<int:student_id>/name/", people.spell_name, name="spell_name"),
    path("classes/students/<int:student_id>/new-code/", people.new_code, name="new_code"),
    path("classes/students/<int:student_id>/undo-code/", people.undo_code, name="undo_code"),
    path("classes/students/<int:student_id>/merge/", students.merge_student, name="merge_student"),
    path("classes/students/<int:student_id>/remove/", students.remove_student, name="remove_student"),
    path("classes/students/<int:student_id>/", students.student, name="student"),
    path("classes/changes/<int:change_id>/undo/", students.undo_change, name="undo_change"),
    path("classes/<int:course_id>/roster.csv", roster.roster_csv, name="roster_csv"),
    path("classes/<int:course_id>/roster/", roster.roster, name="roster"),
    path("classes/<int:course_id>/joining/", people.open_or_close, name="open_or_close"),
    path("demo/", demo.open_demo, name="open_demo"),
    path("keeper/login/", doors.keeper_sign_in, name="keeper_sign_in"),
    path("keeper/", admin.site.urls),
    path("", include("casting.urls")),
]

handler500 = "school.busy.server_error"
