"""What may go wrong at the door.

SignInRefused (401) · SecondFactorNeeded (401) · SecondFactorRefused (401) · SignInLocked (429) · FactorIsOn (409) ·
FactorIsOff (409) · InvitationNotGood (422) · AddressKnown (409) ·
PasswordTooWeak (422) · LastOwner (409)
"""

from services.problems import Conflict, NotAuthenticated, TooManyRequests, Unprocessable


class SignInRefused(NotAuthenticated):
    """The e-mail address and the password do not belong together."""

    code = "sign_in_refused"
    remedy = (
        "Check the e-mail address and the password; after several failures sign-in is locked for a while."
    )


class SecondFactorNeeded(NotAuthenticated):
    """Address and password belong together, and this person signs in with a second factor as well."""

    code = "second_factor_needed"
    remedy = "Send the same again with `second_factor`: the six digits of the moment, or one of the recovery codes."


class SecondFactorRefused(NotAuthenticated):
    """The code of the second factor is wrong, or was used before."""

    code = "second_factor_refused"
    remedy = "Wait for the next code and check the clock of the telephone; each code is good once."


class FactorIsOn(Conflict):
    """A second factor is set up already."""

    code = "second_factor_is_on"
    remedy = "Remove it first, with the password and a code."


class FactorIsOff(Conflict):
    """No second factor is set up, or its set-up was not begun."""

    code = "second_factor_is_off"
    remedy = "Begin with `POST /api/v1/me/second-factor`."


class SignInLocked(TooManyRequests):
    """Sign-in failed too often for this address from this place."""

    code = "sign_in_locked"
    remedy = "Wait for the number of seconds in `Retry-After`, then sign in again."


class CodesClosed(SignInLocked):
    """Too many wrong codes of the second factor in a row, from wherever they came."""

    code = "codes_closed"
    remedy = (
        "Wait for the number of seconds in `Retry-After`, or use a recovery code. "
        "Whoever tried them knows the password."
    )


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
