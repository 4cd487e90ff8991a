"""By ear: recordings of each set at the same place, this year beside last year."""

from datetime import date
from typing import Any

from flask import Blueprint, Response, flash, g, make_response, redirect, render_template, url_for
from flask_wtf import FlaskForm
from flask_wtf.file import FileField, FileRequired
from markupsafe import Markup
from wtforms import StringField
from wtforms.validators import InputRequired

from inspect_app import clock
from inspect_app.actions.by_ear import keep_set_sound
from inspect_app.domain.by_ear import LONGEST_NOTE, LONGEST_PLACE, USUAL_PLACE, SetSound, by_place, length_words, levels
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.recording import MOST_BYTES
from inspect_app.output.sound_picture import draw_levels
from inspect_app.output.svg import as_markup
from inspect_app.store.house import get_line_set, list_line_sets
from inspect_app.store.photo import read_photo
from inspect_app.store.set_sound import get_set_sound, list_set_sounds
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.form import show_error
from inspect_app.web.house_form import today
from inspect_app.web.recording import send_sound
from inspect_app.web.security import LISTENING_PERMISSIONS

blueprint = Blueprint("by_ear", __name__, url_prefix="/houses/<house_id>/by-ear")


class SoundForm(FlaskForm):
    """A recording of a set."""

    file = FileField(
        "Recording",
        [FileRequired("Choose a recording.")],
        render_kw={"accept": "audio/*"},
        description="About ten seconds, WAV, WebM, Ogg or MP4 (M4A), up to 4 MB. Only from WAV a picture is drawn.",
    )
    place = StringField(
        "Place and way",
        [InputRequired("Name the place, in the same words each year.")],
        render_kw={"maxlength": LONGEST_PLACE, "list": "places"},
        description="The same words each year, so that like is heard beside like.",
    )
    recorded_on = StringField("Recorded on", [InputRequired("Choose the day.")], render_kw={"type": "date"})
    note = StringField("What was special", render_kw={"maxlength": LONGEST_NOTE}, description="Load, phone, noise.")


@blueprint.get("")
@permission("walk.view")
def index(house_id: str) -> str:
    """Every set with the years it was recorded in."""
    sounds: dict[str, list[SetSound]] = {}
    for sound in list_set_sounds(get_db(), house_id):
        sounds.setdefault(sound.line_set, []).append(sound)
    rows = [
        (one, sorted({sound.recorded_on.year for sound in sounds.get(one.id, [])}))
        for one in list_line_sets(get_db(), house_id)
    ]
    return render_template("learning/by_ear.html", rows=rows)


@blueprint.route("/<line_set_id>", methods=["GET", "POST"])
@permission("walk.record", most_bytes=MOST_BYTES + 100_000)
def one(house_id: str, line_set_id: str) -> Any:
    """One set: its places with the last two years side by side, the older ones below, and the form for another."""
    db = get_db()
    line_set = get_line_set(db, house_id, line_set_id)
    sounds = list_set_sounds(db, house_id, line_set_id)
    form = SoundForm(recorded_on=today().isoformat(), place=sounds[0].place if sounds else USUAL_PLACE)
    if form.validate_on_submit():
        kept = _kept(form, house_id, line_set_id)
        if kept is not None:
            flash(f"The recording is kept. {length_words(kept.tenths)}")
            return redirect(url_for("by_ear.one", house_id=house_id, line_set_id=line_set_id), 303)
    known = sorted({sound.place for sound in list_set_sounds(db, house_id)} | {USUAL_PLACE})
    page = render_template(
        "learning/by_ear_set.html", form=form, line_set=line_set, places=by_place(sounds), known=known,
        length_words=length_words, picture=_picture,
    )  # fmt: skip
    response = make_response(page, 422 if form.errors else 200)
    response.headers["Permissions-Policy"] = LISTENING_PERMISSIONS
    return response


def _kept(form: SoundForm, house_id: str, line_set_id: str) -> SetSound | None:
    try:
        recorded_on = date.fromisoformat(form.recorded_on.data or "")
    except ValueError:
        form.recorded_on.errors = ["Write the date as YYYY-MM-DD."]
        return None
    try:
        return keep_set_sound(
            get_db(), get_settings(), at=clock.now(), actor=g.person.id, house=house_id, line_set=line_set_id,
            place=form.place.data or "", recorded_on=recorded_on, note=form.note.data or "",
            content=form.file.data.read(),
        )  # fmt: skip
    except NotFound:
        raise
    except DomainError as error:
        show_error(form, error)
        return None


def _picture(sound: SetSound) -> Markup:
    """How loud it is over its length, for a WAV; nothing for compressed sound."""
    if sound.mime != "audio/wav":
        return as_markup("")
    content = read_photo(get_settings(), sound.sha256)
    return draw_levels(levels(content) if content else (), f"Loudness over the recording of {sound.recorded_on}")


@blueprint.get("/sounds/<sound_id>")
@permission("photo.view")
def play(house_id: str, sound_id: str) -> Response:
    """The bytes as received; a player may ask for a part of them."""
    found = get_set_sound(get_db(), house_id, sound_id)
    content = read_photo(get_settings(), found.sha256) if found is not None else None
    if found is None or content is None:
        raise NotFound("There is no such recording, or its file is missing.")
    return send_sound(content, found.mime, found.sha256, f"set-sound-{found.id}")
