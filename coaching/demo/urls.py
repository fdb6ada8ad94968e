from django.urls import path

from coaching.demo import views

app_name = "demo"

urlpatterns = [
    path("demo/load/", views.load_demo, name="load"),
    path("demo/sign-in/", views.sign_in, name="sign_in"),
    path("demo/tour/", views.tour, name="tour"),
    path("demo/remove/", views.remove_demo, name="remove"),
]
