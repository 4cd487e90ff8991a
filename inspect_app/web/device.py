"""The phones and browsers of a house: whose, last heard when, and what they recorded that never came."""

from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, url_for

from inspect_app import clock
from inspect_app.actions.account import revoke_device
from inspect_app.store.device_count import list_device_counts
from inspect_app.web.access import permission
from inspect_app.web.database import get_db

blueprint = Blueprint("device", __name__, url_prefix="/houses/<house_id>/devices")

NAV = (("Devices", "device.index", "device.revoke"),)


@blueprint.get("")
@permission("device.revoke")
def index(house_id: str) -> str:
    """Every device with what has come from it and what has not."""
    counts = list_device_counts(get_db(), house_id)
    present = [row for row in counts if not row.device.revoked]
    return render_template("device/index.html", present=present, past=[row for row in counts if row.device.revoked])


@blueprint.post("/<device_id>/end")
@permission("device.revoke")
def end(house_id: str, device_id: str) -> Any:
    """Withdraw the pairing of a device."""
    found = revoke_device(get_db(), at=clock.now(), actor=g.person.id, device=device_id, house=house_id)
    flash(f"{found.name} can send nothing more. What it has not sent stays on it and can be saved there to a file.")
    return redirect(url_for("device.index", house_id=house_id), 303)
