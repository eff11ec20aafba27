"""`pairbook`: the group of all commands. A command's module is imported when the command is called, not before."""

from typing import Any

import click

from registry import __version__
from registry.cli.lazy import LazyGroup

#: Command -> (module, attribute, one line for the overview).
COMMANDS = {
    "init": ("setup", "init", "Make the registry, or bring it to this release’s schema."),
    "serve": ("setup", "serve", "Serve pages and JSON."),
    "demo": ("setup", "demo", "Fill an empty registry with an invented outfit."),
    "secret": ("people", "secret", "Set somebody’s password or PIN."),
    "token": ("people", "token", "Make a token for a program that acts in somebody’s name."),
    "act": ("acts", "act", "Enter any act, from fields or from JSON."),
    "check": ("acts", "check", "Ask the go / no-go of an act; writes nothing."),
    "install": ("installs", "install", "Install a pair in an empty bay."),
    "remove": ("installs", "remove", "Take a pair out of a bay."),
    "swap": ("installs", "swap", "Swap the pair of a bay for another."),
    "attach": ("attachments", "attach", "Attach files to a half, a pair, a vehicle, a bay, a hold or a meter."),
    "scan": ("scan", "scan", "Say what labels are."),
    "sort": ("scan", "sort", "Sort a heap of halves into pairs."),
    "where": ("fleet", "where", "Say where a half or a pair is, or was."),
    "calendar": ("calendars", "calendar", "List the days on which something falls due, or make a calendar’s address."),
    "alignments": ("alignments", "alignments", "Show how a bay is mounted and aligned, and what to enter in its unit."),
    "audits": ("audits", "audits", "List audits, or one with its lines, what differed and where to walk next."),
    "settings": ("settings", "settings", "Show the settings sheet of a bay, and whether its unit holds it."),
    "readback": ("settings", "readback", "Say whose settings a unit holds, from three values or more."),
    "deliveries": ("deliveries", "deliveries", "List deliveries, and how far each is unpacked."),
    "movements": ("movement", "movements", "List loans, halves at repair and planned border crossings."),
    "plan": ("handling", "plan", "Print what a site works by, with each default and its source."),
    "meters": ("handling", "meters", "List meters, and until when each is good."),
    "missions": ("missions", "missions", "List missions, or show what one rode on."),
    "impact": ("impacts", "impact", "List what something found bad was used for."),
    "due": ("verifications", "due", "List when every pair is due for verification."),
    "fleet": ("fleet", "fleet", "Show which vehicle carries which pair."),
    "fit": ("fit", "fit", "Say whether vehicles are fit to deploy, worst first, and what stands against it."),
    "spare": ("spares", "spare", "List the spares of a bay, or what a voyage has along."),
    "openings": ("spares", "openings", "Plan what makes most vehicles fit with the fewest openings."),
    "history": ("fleet", "history", "Show what happened to a pair, half, bay or vehicle."),
    "compute": ("compute", "compute", "Compute mounting, alignment, DVL, bench and calibration figures."),
    "labels": ("labels", "labels", "Write the labels of things: one file each, or a PDF of many."),
    "print": ("papers", "print_", "Write a sheet as PDF."),
    "import": ("imports", "import_", "Carry a team’s spreadsheet over, row by row, all or nothing."),
    "export": ("exports", "export", "Write every table as CSV or XLSX, or the whole as JSON lines."),
    "verify": ("log", "verify", "Check the log, its tree, every table against it, and every file."),
    "verify-pack": ("packs", "verify_pack", "Check an evidence pack, with no registry and no network."),
    "checkpoint": ("log", "checkpoint", "Print the signed checkpoint of the log."),
    "backup": ("log", "backup", "Copy the database and the files while it runs, and verify the copy."),
    "restore": ("log", "restore", "Put a verified backup in the place of the database."),
}


class Lazy(LazyGroup):
    """All commands; refusals of any of them end with 1."""

    table = COMMANDS

    def invoke(self, ctx: click.Context) -> Any:
        from registry.errors import Refused

        try:
            return super().invoke(ctx)
        except Refused as refused:
            from registry.cli.telling import tell_refused

            tell_refused(refused)
            ctx.exit(1)
        except (click.ClickException, click.exceptions.Exit):
            raise
        except Exception as problem:
            # Known only once something asked for the database; imported here because `--help` needs none of it.
            from sqlalchemy.exc import InterfaceError, OperationalError

            from registry.cli.telling import tell_refused
            from registry.errors import Reason

            if isinstance(problem, InterfaceError | OperationalError):
                told = f"The database does not answer: {str(problem.orig).strip().splitlines()[0]}."
                reason = Reason("busy", told, next="Look at PAIRBOOK_DATABASE_URL, or start the database.")
            elif isinstance(problem, OSError) and problem.filename:
                told = f"{problem.filename} cannot be used: {problem.strerror}."
                reason = Reason("wrong_form", told, next="Name another place, or one that is there and may be written.")
            else:
                raise
            tell_refused(Refused(reason))
            ctx.exit(1)


@click.group(cls=Lazy, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="pairbook")
def pairbook() -> None:
    """A registry of matched sensor and electronics halves, and of the vehicles that carry them.

    The registry lives in the folder PAIRBOOK_HOME names, ./instance if it names none. Commands end with 0 when done or
    whole, 1 when refused or not whole (each reason on the error output), 2 when called wrongly.
    """
