"""The picture of the house: its packages from above, as pyproject.toml orders them.

`python -m tests.house_map` (make map) prints who imports whom and puts the picture into
DEVELOPERS.md. A package says in its own docstring what it is for.
"""

import re
import tomllib
from collections import defaultdict
from collections.abc import Iterable, Mapping
from importlib import import_module
from itertools import combinations
from pathlib import Path

import grimp

ROOT = Path(__file__).resolve().parents[1]
HOUSES = ("coaching", "practice", "shared")
INNER = "practice.numbers"
BEGIN, END = "<!-- make map -->\n```\n", "```\n<!-- end of the map -->"


def layers() -> dict[str, list[str]]:
    """By container ('coaching', 'practice.numbers'), its packages and modules from above."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text())
    found = {}
    for contract in settings["tool"]["importlinter"]["contracts"]:
        for container in contract.get("containers", ()):
            found[container] = [f"{container}.{name}" for name in contract["layers"]]
    return found


def place_of(module: str, places: Iterable[str]) -> str | None:
    """The package of these that a module lies in; None for one that lies in none."""
    return next((p for p in places if module == p or module.startswith(f"{p}.")), None)


def arrows(places: Iterable[str]) -> dict[tuple[str, str], list[tuple[str, str]]]:
    """From place to place, the imports (from, to) that make the arrow."""
    known = list(places)
    graph = grimp.build_graph(*HOUSES, include_external_packages=False)
    found = defaultdict(list)
    for module in sorted(graph.modules):
        here = place_of(module, known)
        for other in sorted(graph.find_modules_directly_imported_by(module)):
            there = place_of(other, known)
            if here and there and here != there:
                found[here, there].append((module, other))
    return dict(found)


def arrows_back(
    order: list[str], found: Mapping[tuple[str, str], list[tuple[str, str]]]
) -> list[str]:
    """Imports that climb, as sentences; `order` is from above."""
    return [
        f"{module} imports {other}, which lies above it"
        for above, below in combinations(order, 2)
        for module, other in found.get((below, above), ())
    ]


def purpose(package: str) -> str:
    """The first line of its docstring."""
    return (import_module(package).__doc__ or "").strip().split("\n")[0]


def picture() -> str:
    """One line a package, each of which imports only packages below it."""
    found, lines = layers(), []
    for house in HOUSES:
        lines.append(f"{house}/")
        for package in found[house]:
            if not _is_package(package):
                continue
            lines.append(_line(package, 2))
            lines += [_line(inner, 4) for inner in found.get(package, ()) if _is_package(inner)]
    return "\n".join(lines) + "\n"


def _is_package(module: str) -> bool:
    return (ROOT / module.replace(".", "/") / "__init__.py").exists()


def _line(package: str, indent: int) -> str:
    name = " " * indent + package.rpartition(".")[2]
    return f"{name:<16}{purpose(package)}".rstrip()


def written(text: str) -> str:
    """DEVELOPERS.md with the picture of now between its marks."""
    pattern = re.escape(BEGIN) + ".*?" + re.escape(END)
    if not re.search(pattern, text, re.DOTALL):
        raise ValueError("DEVELOPERS.md has no marks for the map.")
    return re.sub(pattern, lambda _: BEGIN + picture() + END, text, flags=re.DOTALL)


def main() -> None:
    file = ROOT / "DEVELOPERS.md"
    file.write_text(written(file.read_text()))
    for order in layers().values():
        found = arrows(order)
        for package in order:
            below = [other.rpartition(".")[2] for one, other in found if one == package]
            print(f"{package:<26}→ {', '.join(below) or 'nothing of its house'}")
        print()


if __name__ == "__main__":
    main()
