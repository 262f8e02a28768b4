"""Says at the end of a test run how large the files are."""

import statistics

import pytest
from house_sources import code_files, lines_with_code, name


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    sizes = {name(path): len(lines_with_code(path.read_text(encoding="utf-8"))) for path in code_files("src")}
    sizes = {path: size for path, size in sizes.items() if size}
    largest = max(sizes, key=sizes.__getitem__)
    terminalreporter.write_line(
        f"house: {len(sizes)} source files, {sum(sizes.values())} code lines, "
        f"median {statistics.median(sizes.values()):g}, largest {sizes[largest]} ({largest})"
    )
