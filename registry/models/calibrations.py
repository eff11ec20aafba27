"""Factory calibrations of a pair, as the certificate states them; and the standards that any calibration or
verification was done with."""

import sqlalchemy as sa

from registry.models.base import column, folded, instant, maybe, once, says, to
from registry.models.columns import Day, Figure, Flag

calibration = folded(
    "calibration",
    to("pairing"),
    column("certificate", sa.Text),
    column("calibrated_on", Day),
    column("place", sa.Text),
    column("conditions", sa.Text),
    column("adjusted", Flag),
    column("words", sa.Text),
    *instant("entered"),
    once("calibration_certificate_once", "pairing_id", "certificate", sentence="That certificate of the pair is already in the registry."),
    sa.Index("ix_calibration_pairing_id", "pairing_id", "calibrated_on"),
)  # fmt: skip

calibration_result = folded(
    "calibration_result",
    to("calibration"),
    column("number", sa.Integer),
    column("quantity", sa.Text),
    column("unit", sa.Text),
    maybe("as_found", Figure),
    maybe("as_left", Figure),
    maybe("expanded", Figure),
    maybe("k", Figure),
    says("calibration_result_says_something", "as_found IS NOT NULL OR as_left IS NOT NULL", "A line of results gives a figure."),
    says("calibration_result_with_its_k", "(expanded IS NULL) = (k IS NULL)", "An expanded uncertainty goes with its k."),
    sa.Index("ix_calibration_result_calibration_id", "calibration_id"),
)  # fmt: skip

standard_used = folded(
    "standard_used",
    to("calibration", nullable=True),
    to("verification", nullable=True),
    column("number", sa.Integer),
    column("name", sa.Text),
    maybe("due_on", Day),
    says(
        "standard_used_for_one_thing",
        "(calibration_id IS NULL) <> (verification_id IS NULL)",
        "A standard is named for one calibration or one verification.",
    ),
    sa.Index("ix_standard_used_calibration_id", "calibration_id"),
    sa.Index("ix_standard_used_verification_id", "verification_id"),
)
