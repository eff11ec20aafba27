"""Evidence packs, checked with no registry and no network."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.telling import as_json, print_json, read_words
from registry.domain.texts import shown
from registry.errors import Reason, Refused

if TYPE_CHECKING:
    from registry.acts.checkpoints import Checkpoint, Growth, Keyring
    from registry.acts.pack_checks import PackReport

#: No pack is larger; a file that is would only fill the memory.
MOST_BYTES = 200_000_000
_NOT_SHOWN = (
    "No key was given: the proofs were checked against the checkpoint in the pack, and nothing shows whose checkpoint that is. "
    "Anybody can make a log of their own with such entries. Ask whoever keeps the log for its public key, and give it with --key."
)  # fmt: skip
_PAPER = "What is proved is the entries, byte by byte, not the printed words: those say what the program read in them."


@click.command("verify-pack")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option(
    "--key", metavar="FILE|KEY", help="Public key of the log, as `pairbook checkpoint --public-key` prints it."
)
@click.option(
    "--checkpoint", "kept", type=click.Path(exists=True, dir_okay=False, path_type=Path), help="A checkpoint you kept."
)
@click.option(
    "--proof",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="With a checkpoint of another size: what `pairbook checkpoint --since` prints.",
)
@as_json
def verify_pack(file: Path, key: str | None, kept: Path | None, proof: Path | None, as_json: bool) -> None:
    """Check an evidence pack, a PDF or the document out of it: every entry, its proof, the checkpoint and its signature.

    Needs no registry and no network. Ends with 1 and names what is wrong.
    """
    from registry.acts.pack_checks import Unreadable, check

    keys = _keys(key) if key else None
    point = _kept(kept, keys) if kept else None
    if proof and not point:
        raise click.UsageError("A proof shows how a checkpoint you kept and this one hang together: give that with --checkpoint.")  # fmt: skip
    try:
        report = check(_document(file), keys, point, _growth(proof) if proof else None)
    except Unreadable as problem:
        raise Refused(_not_a_pack(file, str(problem))) from None
    if as_json:
        print_json(_plain(report))
    else:
        _tell(report, keys is not None)
    sys.exit(1 if report.faults else 0)


def _document(file: Path) -> bytes:
    """The document: the file itself, or what is attached to it."""
    from registry.domain.packs import FILE
    from registry.output.attached import attached

    if file.stat().st_size > MOST_BYTES:
        raise Refused(_not_a_pack(file, f"It is larger than any pack ({MOST_BYTES // 1_000_000} million bytes)."))
    raw = file.read_bytes()
    if raw.lstrip()[:1] == b"{":
        return raw
    if b"%PDF-" not in raw[:1024]:
        raise Refused(_not_a_pack(file, "It is neither a PDF nor the document out of one."))
    try:
        return attached(raw, FILE)
    except ValueError as problem:
        raise Refused(_not_a_pack(file, str(problem))) from None


def _not_a_pack(file: Path, why: str) -> Reason:
    do = "Ask for the pack again, and send it as a file: a print, a scan or a PDF saved anew carries nothing along."
    return Reason("wrong_form", f"{file} cannot be checked. {why}", "file", do)


def _keys(told: str) -> "Keyring":
    """The key itself, or a file of keys, one a line."""
    from registry.acts.checkpoints import Keyring, Verifier

    path, do = Path(told), "Give what `pairbook checkpoint --public-key` prints."
    try:
        lines = (read_words(path, "key", do) if path.is_file() else told).split()
        if not lines:
            raise ValueError("That file holds no key.")
        return Keyring(*(Verifier.read(line) for line in lines))
    except ValueError as problem:
        raise Refused(Reason("wrong_form", str(problem), "key", do)) from None


def _kept(file: Path, keys: "Keyring | None") -> "Checkpoint":
    """The checkpoint somebody kept; with a key, one that the key signed."""
    from registry.acts.checkpoints import read_checkpoint

    do = "Give a checkpoint as `pairbook checkpoint` prints it."
    note = read_words(file, "checkpoint", do)
    try:
        return read_checkpoint(keys.open(note) if keys else note.rpartition("\n\n")[0] + "\n")
    except ValueError as problem:
        raise Refused(Reason("wrong_form", f"{file}: {problem}", "checkpoint", do)) from None


def _growth(file: Path) -> "Growth":
    """The proof that one log grew into another."""
    from registry.acts.checkpoints import read_growth

    do = "Give what `pairbook checkpoint --since` prints."
    told = read_words(file, "proof", do)
    try:
        return read_growth(told)
    except ValueError as problem:
        raise Refused(Reason("wrong_form", f"{file}: {problem}", "proof", do)) from None


def _plain(report: "PackReport") -> dict[str, object]:
    point = report.checkpoint
    return {
        "holds": not report.faults, "about": report.about, "origin": point.origin, "size": point.size, "root": point.root.hex(), "signed": report.signed,
        "compared": report.compared, "faults": list(report.faults), "statements": [one._asdict() for one in report.statements],
        "entries": [{"seq": one.seq, "leaf": one.leaf, "act": one.entry.act, "happened_at": one.entry.at} for one in report.proved],
        "not_shown": "" if report.signed else _NOT_SHOWN, "proves": _PAPER,
    }  # fmt: skip


def _tell(report: "PackReport", keyed: bool) -> None:
    from registry.acts.catalogue import ACTS
    from registry.domain.times import say

    proved = {one.seq: one for one in report.proved}
    click.echo(f"{shown(report.about)}: {len(proved):,} entries of the log {shown(report.checkpoint.origin)}, {report.checkpoint.size:,} entries long.")  # fmt: skip
    for one in report.statements:
        click.echo(f"  {shown(one.told, 200)}")
        for seq in one.entries:
            if entry := proved.get(seq):
                act = ACTS.get(entry.entry.act)
                what = act.says[0].lower() + act.says[1:] if act else shown(entry.entry.act)
                click.echo(f"    entry {seq:,}: {what}, {say(entry.entry.at)}")
            else:
                click.echo(f"    entry {seq:,}: not proved")
    for fault in report.faults:
        click.echo(shown(fault, 500), err=True)
    if not report.faults:
        click.echo(f"Every entry stands in the log of this checkpoint, unchanged. Root {report.checkpoint.root.hex()}.")
    if report.signed:
        click.echo("The checkpoint is signed by the key you gave.")
    elif not keyed:
        click.echo(_NOT_SHOWN)
    if report.compared:
        click.echo(report.compared)
    click.echo(_PAPER)
