from django.urls import path

from coaching.find import views

app_name = "find"

urlpatterns = [path("find/", views.find_page, name="find")]
