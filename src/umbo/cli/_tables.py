"""``umbo tables``."""

from __future__ import annotations

import json
import sys

from umbo import refdata
from umbo.cli._printing import console, table_of

__all__ = ["tables"]


def tables(name: str | None, *, as_json: bool) -> int:
    """List the tables, or print one."""
    quantity, _, source = (name or "").partition("/")
    if source:
        return _one(quantity, source, as_json=as_json)
    if quantity:
        refdata.available(quantity)
    entries = refdata.catalogue(quantity or None)
    if len(entries) == 1 and quantity:
        return _one(entries[0].quantity, entries[0].source, as_json=as_json)
    if as_json:
        rows = [
            {
                "name": f"{e.quantity}/{e.source}",
                "edition": e.edition,
                "what": e.what,
                "obtained": list(e.obtained),
            }
            for e in entries
        ]
        sys.stdout.write(json.dumps({"schema": 1, "tables": rows}, indent=1) + "\n")
        return 0
    out = console()
    for entry in entries:
        out.print(f"{entry.quantity}/{entry.source}", style="bold", markup=False)
        out.print(f"    {entry.what} ({entry.edition})", markup=False)
        out.print(f"    obtained: {', '.join(entry.obtained)}", markup=False)
    return 0


def _one(quantity: str, source: str, *, as_json: bool) -> int:
    table = refdata.table(quantity, source=source)
    heads = [info.name for info in table.sidecar.columns]
    if as_json:
        answer = {
            "schema": 1,
            "name": table.name,
            "citation": table.citation(),
            "columns": heads,
            "rows": [list(row) for row in table.cells],
        }
        sys.stdout.write(json.dumps(answer, indent=1) + "\n")
        return 0
    out = console()
    for line in refdata.header_lines(table):
        out.print(line, markup=False)
    out.print(table_of("", heads, table.cells))
    return 0
