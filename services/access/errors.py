"""What may go wrong at the door.

SignInRefused (401) · SignInLocked (429) · InvitationNotGood (422) · AddressKnown (409) ·
PasswordTooWeak (422) · LastOwner (409)
"""

from services.problems import Conflict, NotAuthenticated, TooManyRequests, Unprocessable


class SignInRefused(NotAuthenticated):
    """The e-mail address and the password do not belong together."""

    code = "sign_in_refused"
    remedy = (
        "Check the e-mail address and the password; after several failures sign-in is locked for a while."
    )


class SignInLocked(TooManyRequests):
    """Sign-in failed too often for this address from this place."""

    code = "sign_in_locked"
    remedy = "Wait for the number of seconds in `Retry-After`, then sign in again."


class InvitationNotGood(Unprocessable):
    """The invitation is unknown, expired, or was accepted before."""

    code = "invitation_not_good"
    remedy = "Ask for a new invitation."


class AddressKnown(Conflict):
    """The invited e-mail address belongs to somebody already; the password that was sent was not looked at."""

    code = "address_known"
    remedy = "Sign in with that address, and send the secret to `POST /api/v1/invitations/join`."


class PasswordTooWeak(Unprocessable):
    """The password is one that is guessed soon."""

    code = "password_too_weak"
    remedy = "Choose a longer password of at least 12 characters that is not a common one."


class LastOwner(Conflict):
    """An organisation keeps at least one active owner."""

    code = "last_owner"
    remedy = "Make another member an owner first."
