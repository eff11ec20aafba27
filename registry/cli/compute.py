"""`pairbook compute`: figures of mounting, alignment, DVL, bench and calibration, without a registry."""

import sys
from typing import Any

import click

from registry.cli.lazy import LazyGroup
from registry.errors import Reason, Refused
from registry.inertial import CannotCompute

COMPUTATIONS = {
    "orientation": ("compute_mounting", "orientation", "Say how a unit sits, and whether the entry is true."),
    "alignment": ("compute_mounting", "alignment", "Fit mounting angles to pairs of directions."),
    "lever": ("compute_lever", "lever", "Put a lever arm into vehicle axes and price what is left of it."),
    "dvl": ("compute_dvl", "dvl", "Fit angle and scale of a DVL to a recorded run or to two ends."),
    "cost": ("compute_dvl", "cost", "Price a misalignment that is left in."),
    "gyrocompass": ("compute_bench", "gyrocompass", "Say what a gyro bias leaves in a heading, or find a heading."),
    "static": ("compute_bench", "static", "Test a unit at rest against gravity and the earth’s rate."),
    "uncertainty": ("compute_calibration", "uncertainty", "Combine the lines of an uncertainty budget."),
    "decision": ("compute_calibration", "decision", "Judge values with their uncertainty against a tolerance."),
    "interval": ("compute_calibration", "interval", "Propose the next calibration interval, or watch check readings."),
    "repeat": ("compute_repeat", "repeat", "Say whether results agree, scatter or drift."),
}


class Computations(LazyGroup):
    """All computations; one that gives no number ends with 1."""

    table = COMPUTATIONS

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except CannotCompute as no:
            from registry.cli.telling import tell_refused

            reason = Reason("cannot_compute", no.sentence, next=no.next or None)
            tell_refused(Refused(reason), head="No number is given.")
            sys.exit(1)


@click.group(cls=Computations)
def compute() -> None:
    """Compute figures of mounting, alignment, DVL, bench tests and calibration. Stores nothing and needs no registry.

    Numbers come from options or from a file: CSV or NPZ, or - for the input. Units stand in the names of options and
    in the headers of columns, like yaw_deg or yaw [deg]; nothing is guessed. Every answer says its frame, its sigma or
    interval with the coverage, and the version of its method; --json prints all of it, with the limits in force.

    \b
    Example:
      pairbook compute cost --angle-deg 0.65 --class-percent 0.2
    """
