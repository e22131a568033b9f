"""The addresses of the site; those of the casting days follow at the end."""

from django.contrib import admin
from django.urls import include, path

from school import views

urlpatterns = [
    path("", views.home, name="home"),
    path("join/", views.join, name="join"),
    path("join/<slug:code>/", views.join_class, name="join_class"),
    path("back/", views.came_back, name="came_back"),
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("classes/", views.people, name="people"),
    path("classes/<int:course_id>/poster/", views.poster, name="poster"),
    path("classes/students/<int:student_id>/new-code/", views.new_code, name="new_code"),
    path("keeper/", admin.site.urls),
    path("", include("casting.urls")),
]
