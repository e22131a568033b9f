from django.contrib import admin
from django.urls import path

urlpatterns = [
    path("keeper/", admin.site.urls),
]
