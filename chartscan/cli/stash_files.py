"""``chartscan stash import``, ``export``, ``backup``, ``restore`` and ``check``."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from chartscan.cli.ledger import note_option, open_stash, stash_option, stash_place
from chartscan.cli.options import FILE, json_option, print_json
from chartscan.cli.outputs import (
    ANY_NEW,
    check_outputs,
    overwrite_option,
    refuse_there,
    say_written,
)
from chartscan.cli.parsing import FileName, Number
from chartscan.cli.saying import say, somebody_there
from chartscan.errors import StashError

SINGLE = ("threads", "fabrics", "notions", "charts", "rules", "fabric-prices", "wishes")


@click.command("import")
@click.argument("what", type=click.Choice([*SINGLE, "all"]))
@click.argument("source", type=FILE)
@click.option(
    "--recount", is_flag=True, help="The rows say what is in the drawer now, not what came."
)
@click.option("--again", is_flag=True, help="Book rows though they were booked before.")
@note_option
@stash_option
def import_(
    what: str, source: Path, recount: bool, again: bool, note: str, stash_file: Path | None
) -> None:
    """Book the rows of CSV tables.

    Of one file, or with `all` of the folder of a whole export, whose history comes along.

    Threads are code,skeins with optional line, metres_left, dye_lot, name, metres, strands, hex,
    price, status; `stash export` shows the columns of the others. A point or a comma in decimals,
    commas or semicolons between cells. If any row is wrong, all such rows are named and nothing is
    booked; nor is a table that was booked before, unless you say --again or --recount.

    \b
    Example: chartscan stash import threads stash.csv
    """
    from chartscan.stash.importing import import_table
    from chartscan.stash.moving import import_all
    from chartscan.tasks.fabric import learnt_factor

    remarks: tuple[str, ...] = ()
    with open_stash(stash_file, create=True) as ledger:
        if what == "all":
            moved = import_all(ledger, source, learnt_factor(), note)
            read = dict(moved.rows)
            remarks = ("came with its history",) * moved.with_history
        else:
            done = import_table(ledger, what, source, recount=recount, again=again, note=note)
            read, remarks = {what: done.rows}, done.remarks
    for remark in remarks:
        say(f"{source}: {remark}.", err=True)
    say("Booked rows: " + ", ".join(f"{n} of {table}" for table, n in read.items()) + ".")


@click.command()
@click.argument("palette", type=FILE)
@stash_option
def learn(palette: Path, stash_file: Path | None) -> None:
    """Take what a thread range says of your threads.

    Their names, colours, lengths and prices.

    \b
    Example: chartscan stash learn meadowline
    """
    from chartscan.palette import load_palette
    from chartscan.report.units import counted
    from chartscan.stash.threads import learn_range

    with open_stash(stash_file) as ledger:
        known = learn_range(ledger, load_palette(palette))
    say(f"Learnt {counted(known, 'thread')} of {palette}.")


@click.command()
@click.argument("what", type=click.Choice([*SINGLE, "all"]))
@click.argument("target", type=FILE, required=False)
@overwrite_option
@stash_option
def export(what: str, target: Path | None, stash_file: Path | None) -> None:
    """Write tables as CSV.

    One goes to TARGET, else to standard output; all of them go into the folder TARGET, and the
    history with them, so that `stash import all` brings everything back on another machine.

    \b
    Example: chartscan stash export all my-stash/
    """
    from chartscan.files import write_text
    from chartscan.stash.moving import export_all, exported_files
    from chartscan.stash.tables import export_table

    if what == "all" and target is None:
        raise click.UsageError("say into which folder")
    check_outputs((target,), (stash_place(stash_file),))
    if target is not None:
        refuse_there(exported_files(target) if what == "all" else filter(Path.is_file, (target,)))
    with open_stash(stash_file) as ledger:
        if what == "all" and target is not None:
            files = export_all(ledger, target)
            say(f"Wrote {len(files)} files into {target}, with the history.", err=True)
            return
        text = export_table(ledger, what)
    if target is None:
        sys.stdout.write(text)
    else:
        write_text(target, text)
        say_written((target,))


@click.command()
@click.argument("target", type=ANY_NEW, required=False)
@overwrite_option
@click.option(
    "--keep",
    type=FileName(),
    metavar="FOLDER",
    help="Write it into FOLDER by its day, and keep the last 7 days, 5 weeks, 12 months and every"
    " year; older ones of its own there are removed.",
)
@stash_option
def backup(target: Path | None, keep: Path | None, stash_file: Path | None) -> None:
    """Write the whole stash into one file, checked.

    Its history is in it too.

    \b
    Example: chartscan stash backup stash-2026-12.backup
    Example: chartscan stash backup --keep /media/stick/stash
    """
    from chartscan.stash.backup import back_up
    from chartscan.stash.turns import back_up_in_turn, note_backup

    if (target is None) == (keep is None):
        raise click.UsageError("say where: either a file or --keep FOLDER")
    check_outputs((target,), ())
    over: tuple[Path, ...] = ()
    with open_stash(stash_file) as ledger:
        if keep is not None:
            target, counts, over = back_up_in_turn(ledger, keep)
        elif target is not None:
            counts = back_up(ledger, target)
            note_backup(ledger)
    say(f"{target}: {counts['entries']} entries, {counts['projects']} projects.")
    for path in over:
        say(f"  removed {path.name}, whose turn is over")


@click.command()
@click.argument("source", type=FILE)
@stash_option
def restore(source: Path, stash_file: Path | None) -> None:
    """Put a backup in the place of the stash.

    It is checked first, and the former stash is kept beside it.

    \b
    Example: chartscan stash restore stash-2026-12.backup
    """
    from chartscan.stash.backup import restore as put_back
    from chartscan.stash.ledger import default_path

    counts, kept = put_back(source, stash_file or default_path())
    said = f" The former stash is kept as {kept}." if kept else ""
    say(f"Restored {counts['entries']} entries, {counts['projects']} projects.{said}")


@click.command()
@click.argument("other", type=FILE)
@click.option(
    "--leave",
    multiple=True,
    type=Number(1, whole=True),
    metavar="N",
    help="Leave out entry N of the other stash, which clashes; may be repeated.",
)
@click.option("--leave-all", is_flag=True, help="Leave out whatever clashes.")
@click.option(
    "--one",
    multiple=True,
    metavar="NAME",
    help="The project NAME of both is one though it differs; what is told of it here stays.",
)
@stash_option
def join(
    other: Path,
    leave: tuple[int, ...],
    leave_all: bool,
    one: tuple[str, ...],
    stash_file: Path | None,
) -> None:
    """Bring in what was done in another stash since the two parted.

    OTHER is the stash of your other machine, or a backup of it; it stays as it is. What was done in
    both goes together; where it doesn't (both used the same skein, say), you are asked, and nothing
    is brought in until you have said what to leave out. A project that was told in both, alike, is
    one.

    \b
    Example: chartscan stash join laptop.backup
    """
    from chartscan.cli.remedies import worded
    from chartscan.report.units import counted
    from chartscan.stash.joining import join as bring_in

    with open_stash(stash_file) as ledger:
        done = bring_in(ledger, other, leave, leave_all=leave_all, one=one)
        asked = [clash for clash in done.clashes if not leave_all and clash.number not in leave]
        for clash in done.clashes:
            what = f"Entry {clash.number}, {clash.time[:10]}, {clash.what}"
            say(f"{what}: {worded(clash.refusal)}", err=True)
        if asked and somebody_there() and click.confirm("Leave these out and bring in the rest?"):
            done = bring_in(ledger, other, leave_all=True, one=one)
            asked = []
    if asked:
        those = " ".join(f"--leave {clash.number}" for clash in asked)
        raise StashError(
            f"{other}: {counted(len(asked), 'entry', 'entries')} clash with what was done here, and"
            f" nothing was brought in; leave them out ({those}, or --leave-all), or take back what"
            " stands against them here (`chartscan stash reverse`)"
        )
    for remark in done.remarks:
        say(f"{remark}.", err=True)
    if not done.known and done.acts:
        say("The two had no entry in common: all of the other's things were added.", err=True)
    say(f"Brought in {counted(done.acts, 'entry', 'entries')}; {done.known} were here already.")


@click.command()
@json_option
@stash_option
def check(as_json: bool, stash_file: Path | None) -> None:
    """Check the file and its sums.

    The file is sound, the sums agree with the entries, and nothing is promised twice.

    \b
    Example: chartscan stash check
    """
    from chartscan.stash.check import audit

    with open_stash(stash_file) as ledger:
        wrong = audit(ledger)
        entries = ledger.value("SELECT count(*) FROM entries")
    if as_json:
        print_json({"clean": not wrong, "entries": entries, "wrong": wrong})
    for line in wrong:
        say(line, err=True)
    if wrong:
        raise StashError(
            f"{len(wrong)} things are wrong with the stash; go back to a backup"
            " (`chartscan stash restore FILE`)"
        )
    if not as_json:
        say(f"The stash is clean: {entries} entries agree with what is there.")
