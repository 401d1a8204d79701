"""Coming in and going out. The throttle counts wrong passwords by name and address."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, LogoutView
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from lots.desk.ending import ended_at, ended_sentence


class NameAndPassword(AuthenticationForm):
    """The two lines of the door, with our own words."""

    error_messages = {
        "invalid_login": _("Name and password do not belong together. Type both again; capitals count."),
        "inactive": _("This account is closed. The administrator can open it again."),
    }

    def confirm_login_allowed(self, user: Any) -> None:
        """Refuse an account that has ended, and say since when."""
        super().confirm_login_allowed(user)
        over = ended_at(user)
        if over:
            raise ValidationError(ended_sentence(user.get_username(), over), code="ended")


class SignIn(LoginView):
    """The door. A person who is in already goes on."""

    template_name = "desk/sign_in.html"
    authentication_form = NameAndPassword
    redirect_authenticated_user = True


class SignOut(LogoutView):
    """Leaving; by POST only."""

    http_method_names = ["post", "options"]
