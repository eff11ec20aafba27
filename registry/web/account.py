"""Signing in and out, one's own secrets and tokens, and the light of the page."""

import re

from flask import Blueprint, Response, flash, redirect, request, session, url_for
from flask_wtf import FlaskForm
from wtforms import PasswordField, StringField

from registry import access, accounts, calendar_keys, passwords
from registry.errors import Refused
from registry.web.page import render

bp = Blueprint("account", __name__)
#: Browsers drop tabs and line breaks and read a backslash as a slash: none of them stands in a path of ours.
_OWN = re.compile(r"/(?![/\\])[^\\\x00-\x20\x7f]*")
LIGHTS = ("", "day", "dark", "red")


class SignInForm(FlaskForm):
    name = StringField("Badge or name", description="Scan your badge, or type your name.")
    password = PasswordField("Password")


class SecretForm(FlaskForm):
    current = PasswordField("Your password now")
    password = PasswordField(
        "New password", description=f"{passwords.PASSWORD_LEAST} characters or more. Empty: stays as it is."
    )
    pin = PasswordField(
        "New PIN",
        description="Four to eight digits. Empty: stays as it is.",
        render_kw={"inputmode": "numeric", "autocomplete": "off"},
    )


class TokenForm(FlaskForm):
    label = StringField("What it is for", description="A script, a bench computer.")
    password_now = PasswordField("Your password", description="A token does everything you may do.")


@bp.route("/sign-in", methods=["GET", "POST"])
def sign_in() -> Response:
    """Name or badge, and password."""
    form = SignInForm()
    if request.method != "POST":
        return render("account/sign_in.html", form=form, bare=True, reasons=[])
    try:
        _id, key = accounts.sign_in(
            access.instance().database, form.name.data or "", form.password.data or "", access.now()
        )
    except Refused as refused:
        return render("account/sign_in.html", refused.status, form=form, bare=True, reasons=refused.reasons)
    light = session.get("light", "")
    session.clear()  # a session that was there before the secret was known is not carried on
    session.update(key=key, light=light)
    session.permanent = True
    return redirect(_own_page(request.args.get("next", "")) or url_for("scan.home"), 303)  # type: ignore[return-value]


def _own_page(path: str) -> str | None:
    """A path of ours to go on to; never another host."""
    return path if _OWN.fullmatch(path) else None


@bp.post("/hand-over")
def sign_out() -> Response:
    """End this session: the next person signs in."""
    accounts.sign_out(access.instance().database, session.get("key", ""), access.now())
    session.pop("key", None)
    return redirect(url_for("account.sign_in"), 303)  # type: ignore[return-value]


@bp.post("/light")
def light() -> Response:
    """Day, dark, deck red, or as the device has it."""
    wanted = request.form.get("light", "")
    session["light"] = wanted if wanted in LIGHTS else ""
    session.permanent = True
    return redirect(_own_page(request.form.get("back", "")) or url_for("scan.home"), 303)  # type: ignore[return-value]


@bp.get("/me")
def me() -> Response:
    """One's own secrets and tokens."""
    return own_page()


@bp.post("/me")
def set_secrets() -> Response:
    """A new password or PIN of one's own."""
    form, who = SecretForm(), access.person()
    database, now = access.instance().database, access.now()
    try:
        passwords.check_secret(database, who.id, "password", form.current.data or "", now)
        told: dict[passwords.Secret, str] = {kind: form[kind].data for kind in ("password", "pin") if form[kind].data}
        if told:
            passwords.set_secrets(database, who.id, told, now, by=who.id, keep=session.get("key"))
    except Refused as refused:
        return own_page(form, refused)
    for kind in told:
        flash(f"Your new {'PIN' if kind == 'pin' else 'password'} holds from now on.")
    return redirect(url_for("account.me"), 303)  # type: ignore[return-value]


@bp.post("/me/tokens")
def make_token() -> Response:
    """A token for a program that acts in one's name; shown this once."""
    form, who = TokenForm(), access.person()
    database, now = access.instance().database, access.now()
    try:
        passwords.check_secret(database, who.id, "password", form.password_now.data or "", now)
    except Refused as refused:
        return own_page(None, refused, token_form=form)
    made = accounts.make_token(database, who.id, (form.label.data or "").strip() or "no name", now)
    return own_page(made=made)


@bp.post("/me/tokens/<token_id>/end")
def end_token(token_id: str) -> Response:
    """End one of one's own tokens."""
    accounts.end_token(access.instance().database, access.person().id, token_id, access.now())
    flash("That token opens nothing any more.")
    return redirect(url_for("account.me"), 303)  # type: ignore[return-value]


def own_page(
    form: SecretForm | None = None,
    refused: Refused | None = None,
    *,
    token_form: TokenForm | None = None,
    made: str | None = None,
    address: str | None = None,
) -> Response:
    """One's own page; `made` is a token and `address` a calendar's, each shown this once."""
    with access.instance().database.reading() as db:
        tokens = accounts.tokens_of(db, access.person().id)
        calendar = calendar_keys.made_at(db, access.person().id)
    told = refused.reasons if refused else []
    return render(
        "account/me.html",
        refused.status if refused else 200,
        form=form or SecretForm(formdata=None),
        token_form=token_form or TokenForm(formdata=None),
        tokens=tokens,
        reasons=told,
        made=made,
        calendar=calendar,
        address=address,
    )
