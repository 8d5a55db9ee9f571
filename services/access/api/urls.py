from collections.abc import Callable

from django.db import transaction
from django.http.response import HttpResponseBase
from django.urls import path

from services.access.api import organisation_views as o
from services.access.api import password_views as w
from services.access.api import person_views as p
from services.access.api import second_factor_views as f
from services.access.api.own_sign_in import OwnSignInView


def _own(view: type[OwnSignInView]) -> Callable[..., HttpResponseBase]:
    """Not in a request-wide transaction: a wrong password or code must leave its mark."""
    return transaction.non_atomic_requests(view.as_view())


person_urls = [
    path("sign-in", transaction.non_atomic_requests(p.SignInView.as_view()), name="sign-in"),
    path("me/second-factor", _own(f.SecondFactorView), name="second-factor"),
    path("me/second-factor/confirmation", _own(f.ConfirmationView), name="second-factor-confirmation"),
    path("me/second-factor/removal", _own(f.RemovalView), name="second-factor-removal"),
    path("me/password", _own(w.PasswordView), name="password"),
    path("me", p.MeView.as_view(), name="me"),
    path("me/units", p.UnitsView.as_view(), name="units"),
    path("tokens", p.TokensView.as_view(), name="tokens"),
    path("tokens/<uuid:token>", p.TokenView.as_view(), name="token"),
    path("invitations/accept", p.AcceptInvitationView.as_view(), name="accept-invitation"),
    path("invitations/join", p.JoinInvitationView.as_view(), name="join-invitation"),
]

organisation_urls = [
    path("", o.OrganisationDetailView.as_view(), name="organisation"),
    path("/locations", o.LocationsView.as_view(), name="locations"),
    path("/locations/<uuid:location>", o.LocationView.as_view(), name="location"),
    path("/memberships", o.MembershipsView.as_view(), name="memberships"),
    path("/memberships/<uuid:membership>", o.MembershipView.as_view(), name="membership"),
    path("/invitations", o.InvitationsView.as_view(), name="invitations"),
]
