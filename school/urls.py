"""The addresses of the site; those of the casting days come last."""

from django.contrib import admin
from django.urls import include, path

from school import demo, views

urlpatterns = [
    path("", views.home, name="home"),
    path("join/", views.join, name="join"),
    path("join/<slug:code>/", views.join_class, name="join_class"),
    path("back/", views.came_back, name="came_back"),
    path("name/", views.my_name, name="my_name"),
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("classes/", views.people, name="people"),
    path("classes/<int:course_id>/poster/", views.poster, name="poster"),
    path("classes/students/<int:student_id>/name/", views.spell_name, name="spell_name"),
    path("classes/students/<int:student_id>/new-code/", views.new_code, name="new_code"),
    path("demo/", demo.open_demo, name="open_demo"),
    path("keeper/", admin.site.urls),
    path("", include("casting.urls")),
]
