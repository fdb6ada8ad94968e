"""The pages of the sign-in library that we use; the others do not exist here."""

from allauth.account import views
from allauth.mfa.base import views as second
from allauth.mfa.recovery_codes import views as recovery
from allauth.mfa.webauthn import views as passkeys
from django.urls import path, re_path

from shared.people.code_views import Ask, Confirm
from shared.people.prove_views import passkey_needed, prove_again, proves_again
from shared.people.sign_in import no_such_page

urlpatterns = [
    path("login/", views.login, name="account_login"),
    path("logout/", views.logout, name="account_logout"),
    path("inactive/", views.account_inactive, name="account_inactive"),
    path("reauthenticate/", views.reauthenticate, name="account_reauthenticate"),
    path("login/code/", Ask.as_view(), name="account_request_login_code"),
    path("login/code/confirm/", Confirm.as_view(), name="account_confirm_login_code"),
    path("password/change/", views.password_change, name="account_change_password"),
    path("again/", prove_again, name="prove_again"),
    path("passkey-needed/", passkey_needed, name="passkey_needed"),
    path("password/set/", proves_again(views.password_set), name="account_set_password"),
    path("password/reset/", views.password_reset, name="account_reset_password"),
    path("password/reset/done/", views.password_reset_done, name="account_reset_password_done"),
    re_path(
        r"^password/reset/key/(?P<uidb36>[0-9A-Za-z]+)-(?P<key>.+)/$",
        views.password_reset_from_key,
        name="account_reset_password_from_key",
    ),
    path(
        "password/reset/key/done/",
        views.password_reset_from_key_done,
        name="account_reset_password_from_key_done",
    ),
    # Named by the library, never offered.
    path("signup/", no_such_page, name="account_signup"),
    path("second/", second.authenticate, name="mfa_authenticate"),
    path("second/again/", second.reauthenticate, name="mfa_reauthenticate"),
    path("passkeys/", passkeys.list_webauthn, name="mfa_index"),
    path("passkeys/", passkeys.list_webauthn, name="mfa_list_webauthn"),
    path("passkeys/add/", proves_again(passkeys.add_webauthn), name="mfa_add_webauthn"),
    path("passkeys/login/", passkeys.login_webauthn, name="mfa_login_webauthn"),
    path("passkeys/again/", passkeys.reauthenticate_webauthn, name="mfa_reauthenticate_webauthn"),
    path("passkeys/<int:pk>/name/", passkeys.edit_webauthn, name="mfa_edit_webauthn"),
    path(
        "passkeys/<int:pk>/remove/",
        proves_again(passkeys.remove_webauthn),
        name="mfa_remove_webauthn",
    ),
    path("recovery/", proves_again(recovery.view_recovery_codes), name="mfa_view_recovery_codes"),
    path(
        "recovery/new/",
        proves_again(recovery.generate_recovery_codes),
        name="mfa_generate_recovery_codes",
    ),
    path(
        "recovery/download/",
        proves_again(recovery.download_recovery_codes),
        name="mfa_download_recovery_codes",
    ),
]
