"""Addresses of sign-in and accounts."""

from django.contrib.auth import views as auth
from django.urls import path

from inspections.accounts import own_views, password_links, second_factor_views
from inspections.accounts.second_factor import without_second_factor
from inspections.accounts.sign_in import SignIn

urlpatterns = [
    path("sign-in/", SignIn.as_view(), name="login"),
    path("password/forgotten/", password_links.Forgotten.as_view(), name="password-forgotten"),
    path(
        "password/<str:uidb64>/<str:token>/",
        password_links.PasswordSet.as_view(),
        name="password-set",
    ),
    path("sign-out/", without_second_factor(auth.LogoutView.as_view()), name="logout"),
    path("sign-in/second-factor/", second_factor_views.give, name="second-factor"),
    path("account/second-factor/", second_factor_views.set_up, name="second-factor-set-up"),
    path(
        "account/second-factor/recovery-codes/",
        second_factor_views.recovery_codes,
        name="second-factor-codes",
    ),
    path("account/second-factor/off/", second_factor_views.switch_off, name="second-factor-off"),
    path("account/", own_views.account, name="account"),
    path("language/", own_views.language, name="language"),
    path("account/password/", own_views.PasswordChange.as_view(), name="password-change"),
    path("account/sessions/end/", own_views.sessions_end, name="sessions-end"),
    path("account/sessions/<slug:handle>/end/", own_views.session_end, name="session-end"),
]
