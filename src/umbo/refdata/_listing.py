"""What a list of the tables, a printed table and the page about them need."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from umbo.refdata._bibliography import bibliography
from umbo.refdata._catalogue import available, quantity_title, sidecar, table
from umbo.refdata._vocabulary import status_words

if TYPE_CHECKING:
    from umbo.refdata._sidecar import ColumnInfo, Sidecar
    from umbo.refdata._table import Table

__all__ = ["CatalogueEntry", "catalogue", "describe_tables", "header_lines"]


@dataclass(frozen=True, slots=True)
class CatalogueEntry:
    """One line of the list of tables.

    Parameters
    ----------
    quantity, source : str
        The two names the table is asked for by.
    edition : str
        Edition of the standard or paper.
    what : str
        What the table is.
    obtained : tuple of str
        The statuses that occur in it, each once.
    rows : int
        Number of rows. [1]
    columns : tuple of str
        Names of its number columns.
    """

    quantity: str
    source: str
    edition: str
    what: str
    obtained: tuple[str, ...]
    rows: int
    columns: tuple[str, ...]

    @property
    def name(self) -> str:
        """Quantity and source in one."""
        return f"{self.quantity}/{self.source}"


def _statuses(found: Table) -> tuple[str, ...]:
    words: list[str] = []
    for info in found.sidecar.columns:
        fixed = info.kind == "number" and info.status not in ("nominal", "")
        words += [info.status] if fixed else []
        words += found.statuses(info.name) if info.status_column else []
        words += found.text("status") if info.name == "status" else []
    return tuple(dict.fromkeys(words))


def _entry(quantity: str, source: str) -> CatalogueEntry:
    found = table(quantity, source=source)
    side = found.sidecar
    return CatalogueEntry(
        quantity=quantity,
        source=source,
        edition=side.edition,
        what=side.title,
        obtained=_statuses(found),
        rows=side.rows,
        columns=tuple(info.name for info in side.columns if info.kind == "number" and info.name != side.index),
    )


def catalogue(quantity: str | None = None) -> tuple[CatalogueEntry, ...]:
    """List every table, or every table of one quantity.

    Parameters
    ----------
    quantity : str or None
        Quantity; none for all.

    Returns
    -------
    tuple of CatalogueEntry
        In alphabetical order of quantity and source.

    Raises
    ------
    TableError
        If there is no such quantity.
    """
    quantities = available() if quantity is None else (quantity,)
    return tuple(_entry(name, source) for name in quantities for source in available(name))


def _column_line(info: ColumnInfo) -> str:
    parts = [info.meaning.rstrip(".")]
    parts += [f"unit {info.unit}"] if info.unit else []
    plane = f"{info.plane} to {info.to_plane}" if info.to_plane else info.plane
    tags = {
        "plane": plane,
        "transducer": info.transducer,
        "coupling": info.coupling,
        "bandwidth": info.bandwidth,
        "statistic": info.statistic,
    }
    parts += [f"{label} {value}" for label, value in tags.items() if value]
    obtained = f"see {info.status_column}" if info.status_column else info.status
    parts += [f"obtained: {obtained}"] if obtained else []
    return f"{info.name}: {'; '.join(parts)}"


def header_lines(found: Table) -> tuple[str, ...]:
    """Lines to print above a table: source, edition, how obtained, what each column is, known disagreements.

    Parameters
    ----------
    found : Table
        The table; its cells as printed are ``found.cells``.

    Returns
    -------
    tuple of str
        Lines without comment marks.
    """
    side: Sidecar = found.sidecar
    lines = [
        f"table: {found.name}",
        f"what: {side.title}",
        f"edition: {side.edition}",
        f"reference: {found.reference or 'no source'}",
        f"place: {side.where}",
        f"obtained: {side.obtained}",
    ]
    lines += [f"subjects: {side.subjects}"] if side.subjects else []
    lines += [f"derived from: {', '.join(side.derived_from)}"] if side.derived_from else []
    lines += [f"column {_column_line(info)}" for info in side.columns]
    lines += [f"note: {text}" for text in side.notes]
    lines += [f"disagreement: {text}" for text in side.disagreements]
    lines += [f"not found: {text}" for text in side.not_found]
    return (*lines, f"rights: {side.rights}")


def _markdown_table(quantity: str, source: str) -> list[str]:
    side = sidecar(quantity, source)
    keys = ", ".join(f"[{key}](#ref-{key.replace('.', '-')})" for key in side.bibliography) or "no source"
    lines = ["", f"### `{quantity}` from `{source}`", "", f"{side.title}. Edition: {side.edition}.", ""]
    lines += [f"- Reference: {keys}. Place: {side.where}.", f"- Obtained: {side.obtained}"]
    lines += [f"- Subjects: {side.subjects}."] if side.subjects else []
    lines += [f"- Derived from: {', '.join(f'`{name}`' for name in side.derived_from)}."] if side.derived_from else []
    for label, texts in (
        ("Note", side.notes),
        ("Disagreement", side.disagreements),
        ("Not found", side.not_found),
    ):
        lines += [f"- {label}: {text}" for text in texts]
    lines += [f"- Read by: {side.read_by}. Checked by: {side.checked_by}.", f"- Rights: {side.rights}", ""]
    lines += ["| column | unit | what | how obtained |", "|---|---|---|---|"]
    for info in side.columns:
        obtained = f"column `{info.status_column}`" if info.status_column else info.status
        lines.append(f"| `{info.name}` | {info.unit} | {info.meaning} | {obtained} |")
    return lines


def describe_tables() -> str:
    """Write the page about the reference tables from their sidecars.

    Returns
    -------
    str
        Markdown: the status words, every table by quantity, and the bibliography.
    """
    lines = [
        "# Reference tables",
        "",
        "Each table has one source and one edition, and says how each number was obtained. No table has a",
        "default source: ask with `table(quantity, source=...)`. A correction is a new edition; the old one",
        "stays.",
        "",
        "## How a number was obtained",
        "",
    ]
    lines += [f"- **{word}**: {meaning}." for word, meaning in status_words().items()]
    for quantity in available():
        lines += ["", f"## {quantity_title(quantity)}"]
        for source in available(quantity):
            lines += _markdown_table(quantity, source)
    lines += ["", "## Bibliography", ""]
    for key, entry in bibliography().items():
        doi = f" doi: {entry.doi}." if entry.doi else ""
        lines.append(f'- <a id="ref-{key.replace(".", "-")}"></a>**{key}**: {entry.text}{doi} Seen: {entry.seen}.')
    return "\n".join(lines) + "\n"
