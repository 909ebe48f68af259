"""Addresses of sign-in and accounts."""

from django.contrib.auth import views as auth
from django.urls import path

from inspections.accounts import own_views, password_links
from inspections.accounts.sign_in import SignIn

urlpatterns = [
    path("sign-in/", SignIn.as_view(), name="login"),
    path("sign-out/", auth.LogoutView.as_view(), name="logout"),
    path("password/forgotten/", password_links.Forgotten.as_view(), name="password-forgotten"),
    path(
        "password/<str:uidb64>/<str:token>/",
        password_links.PasswordSet.as_view(),
        name="password-set",
    ),
    path("account/", own_views.account, name="account"),
    path("account/password/", own_views.PasswordChange.as_view(), name="password-change"),
    path("account/sessions/end/", own_views.sessions_end, name="sessions-end"),
    path("account/sessions/<slug:handle>/end/", own_views.session_end, name="session-end"),
]
