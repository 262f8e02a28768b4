"""The ``umbo`` command. Heavy imports stand inside the commands, so that help comes at once."""

from __future__ import annotations

import gc
import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from umbo import __version__
from umbo.errors import UmboError

__all__ = ["app", "entry", "main"]

app = typer.Typer(
    name="umbo",
    help="Verify hearing aids: from coupler and ear recordings to a level at the eardrum and a verdict with reasons.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


class GridName(StrEnum):
    """Grids an answer can stand on."""

    TWELFTH = "twelfth"
    THIRD = "third"
    AUDIOMETRIC = "audiometric"


class EarsName(StrEnum):
    """Ears of an invented case."""

    RIGHT = "right"
    LEFT = "left"
    BOTH = "both"


CaseArgument = Annotated[Path, typer.Argument(help="Folder with case.toml and the recordings it names.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the answer as JSON and nothing else.")]
GridOption = Annotated[GridName, typer.Option("--grid", help="Frequencies of the answer.")]
PlotOption = Annotated[Path | None, typer.Option("--plot", help="Write a chart here: .svg or .png.")]


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"umbo {__version__}")
        raise typer.Exit


@app.callback()
def _root(
    _version_wanted: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    """Verify hearing aids: from coupler and ear recordings to a level at the eardrum and a verdict with reasons."""


@app.command()
def verify(
    case: CaseArgument,
    out: Annotated[Path | None, typer.Option("--out", help="Folder for result.json and report.pdf.")] = None,
    since: Annotated[
        Path | None, typer.Option("--since", help="result.json of an earlier visit, to say what has changed.")
    ] = None,
    as_json: JsonOption = False,
    grid: GridOption = GridName.TWELFTH,
    plot: PlotOption = None,
) -> None:
    """Verify a case: RECDs, levels at the eardrum, targets, maximum output, audibility, verdict.

    With --plot everything at the eardrum is drawn into one picture, with speech of every level below it.

    Exit status 0 if every ear is verified, 1 if not, 2 for bad input, 3 if it is not possible here.
    """
    from umbo.cli import _verify  # noqa: PLC0415

    raise typer.Exit(_verify.verify(case, out=out, as_json=as_json, grid=grid.value, since=since, plot=plot))


@app.command()
def aid(
    case: CaseArgument,
    ear: Annotated[str, typer.Option("--ear", help="Which aid: right, left or both.")] = "both",
    out: Annotated[Path | None, typer.Option("--out", help="Folder for aid.json and aid-report.pdf.")] = None,
    since: Annotated[
        Path | None, typer.Option("--since", help="aid.json of an earlier day, to say what has drifted.")
    ] = None,
    as_json: JsonOption = False,
    grid: GridOption = GridName.TWELFTH,
    plot: PlotOption = None,
) -> None:
    """Test the aids of a case by themselves: data sheet, features, ears, couplers and runs against one another.

    Exit status 0 if everything that was judged passes, 1 if something fails or cannot be told, 2 for bad input, 3 if
    it is not possible here.
    """
    from umbo.cli import _aid  # noqa: PLC0415

    raise typer.Exit(_aid.aid(case, ear=ear, out=out, as_json=as_json, grid=grid.value, plot=plot, since=since))


@app.command("try")
def try_out(
    case: CaseArgument,
    ear: Annotated[str, typer.Option("--ear", help="Which ear: right or left.")],
    change: Annotated[
        list[str] | None,
        typer.Option("--change", help="Frequency and decibels, as 2000=+3; may be given again. [Hz]=[dB]"),
    ] = None,
    speech: Annotated[
        float | None, typer.Option("--input", help="Level of the speech run; nearest to 65 if left out. [dB SPL]")
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Try a change before anybody makes it: predicted deviation, rms, judgement and room below the limit.

    Nothing is measured and nothing is sent to an aid. Exit status 0 if it could be predicted, 2 for bad input.
    """
    from umbo.cli import _try  # noqa: PLC0415

    raise typer.Exit(_try.try_out(case, ear=ear, changes=tuple(change or ()), input_db_spl=speech, as_json=as_json))


@app.command()
def recd(
    case: CaseArgument,
    as_json: JsonOption = False,
    grid: GridOption = GridName.TWELFTH,
    plot: PlotOption = None,
) -> None:
    """Measure the real-ear-to-coupler differences of a case, with uncertainty, trusted limit, grade and findings."""
    from umbo.cli import _recd  # noqa: PLC0415

    raise typer.Exit(_recd.recd(case, as_json=as_json, grid=grid.value, plot=plot))


@app.command()
def targets(
    case: CaseArgument,
    ear: Annotated[str, typer.Option("--ear", help="Which ear: right, left or both.")] = "both",
    speech: Annotated[
        list[float] | None,
        typer.Option("--input", help="Overall level of the speech, 65 if left out; may be given again. [dB SPL]"),
    ] = None,
    method: Annotated[
        list[str] | None,
        typer.Option("--method", help="Key of an open prescription, all if left out; may be given again."),
    ] = None,
    as_json: JsonOption = False,
    plot: PlotOption = None,
) -> None:
    """Compare prescriptions: every open one side by side, imported targets beside them. Thresholds are enough.

    What a method cannot prescribe stands there as a sentence; the exit status is 0.
    """
    from umbo.cli import _targets  # noqa: PLC0415

    raise typer.Exit(
        _targets.targets(
            case,
            ear=ear,
            inputs_db_spl=tuple(speech or (65.0,)),
            methods=tuple(method or ()),
            as_json=as_json,
            plot=plot,
        )
    )


@app.command()
def response(
    case: CaseArgument,
    recording: Annotated[str, typer.Option("--recording", help="Name of the recording in case.toml.")],
    as_json: JsonOption = False,
    grid: GridOption = GridName.TWELFTH,
    plot: PlotOption = None,
) -> None:
    """Show one recording as a calibrated curve, with noise, states and, for sweeps, harmonics."""
    from umbo.cli import _response  # noqa: PLC0415

    raise typer.Exit(_response.response(case, recording=recording, as_json=as_json, grid=grid.value, plot=plot))


@app.command()
def simulate(
    out: Annotated[Path, typer.Argument(help="Folder to create.")],
    seed: Annotated[int, typer.Option("--seed", help="Seed: the same seed gives the same case.")] = 1,
    age_months: Annotated[
        float | None, typer.Option("--age-months", help="Age of the invented client. [months]")
    ] = None,
    ears: Annotated[EarsName, typer.Option("--ears", help="Which ears the case has.")] = EarsName.RIGHT,
    aid: Annotated[bool, typer.Option("--aid", help="Fit an aid; record speech and a loud sweep through it.")] = False,
    aid_test: Annotated[
        bool, typer.Option("--aid-test", help="Test an aid by itself instead, against a data sheet; about 20 s an aid.")
    ] = False,
    fault: Annotated[
        list[str] | None,
        typer.Option("--fault", help="Fault to plant, as NAME or EAR:NAME; may be given again."),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Write an invented case from the virtual bench, with its truth beside it."""
    from umbo.cli import _simulate  # noqa: PLC0415

    faults = tuple(fault or ())
    if aid_test:
        raise typer.Exit(
            _simulate.simulate_aid_test(
                out, seed=seed, age_months=age_months, ears=ears.value, fitted=aid, faults=faults, as_json=as_json
            )
        )
    raise typer.Exit(
        _simulate.simulate(
            out, seed=seed, age_months=age_months, ears=ears.value, aid=aid, faults=faults, as_json=as_json
        )
    )


@app.command()
def demo(
    out: Annotated[
        Path, typer.Option("--out", help="Folder to create for the case, the answer and the report.")
    ] = Path("umbo-demo"),
    as_json: JsonOption = False,
) -> None:
    """Write an invented two-ear case, verify it, and say where the report is."""
    from umbo.cli import _demo  # noqa: PLC0415

    raise typer.Exit(_demo.demo(out, as_json=as_json))


@app.command()
def tables(
    name: Annotated[str | None, typer.Argument(help="Quantity, or quantity/source, to print.")] = None,
    as_json: JsonOption = False,
) -> None:
    """List the published tables, or print one with its source and how it was obtained."""
    from umbo.cli import _tables  # noqa: PLC0415

    raise typer.Exit(_tables.tables(name, as_json=as_json))


@app.command()
def schema(
    name: Annotated[
        str, typer.Argument(help="case, aid, recd, response, verify, try, targets, simulate, tables or doctor.")
    ],
) -> None:
    """Print the JSON Schema of a case or of an answer."""
    from umbo.cli import _schema  # noqa: PLC0415

    raise typer.Exit(_schema.schema(name))


@app.command()
def doctor(as_json: JsonOption = False) -> None:
    """Check this installation: versions, tables, fonts, and a short self-test with a known answer."""
    from umbo.cli import _doctor  # noqa: PLC0415

    raise typer.Exit(_doctor.doctor(as_json=as_json))


def entry() -> None:
    """Run the command as its own process, which ends with it: collecting cyclic garbage would only take time."""
    gc.disable()
    try:
        main()
    finally:
        gc.freeze()  # the interpreter looks for cycles once more at its end, and now finds nothing to look through


def main() -> None:
    """Run the command; errors umbo raises on purpose become one sentence and their exit status."""
    try:
        app()
    except UmboError as error:
        sys.stderr.write(f"{' '.join(str(error).split())}\n")
        sys.exit(error.exit_status)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
