"""The house: every arrow goes down, the drawn map is true, one word a role."""

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from django.apps import apps

from tests import house_map

# What was called so is now: services, text, pages, queries or read.
RETIRED = {"commands", "words", "said", "phrases", "page", "letters", "postman"}


def test_the_map_in_the_developers_page_is_true():
    text = (house_map.ROOT / "DEVELOPERS.md").read_text()

    assert house_map.written(text) == text, "Run make map."


@pytest.mark.parametrize("container", sorted(house_map.layers()))
def test_no_import_climbs(container):
    order = house_map.layers()[container]
    found = house_map.arrows(order)

    assert found, "A house without imports was not read."
    assert house_map.arrows_back(order, found) == []


def test_an_arrow_back_is_told():
    found = {("a.low", "a.high"): [("a.low.x", "a.high.y")], ("a.high", "a.low"): [("a", "b")]}

    assert house_map.arrows_back(["a.high", "a.low"], found) == [
        "a.low.x imports a.high.y, which lies above it"
    ]


def test_every_package_says_what_it_is_for():
    packages = [name for order in house_map.layers().values() for name in order]
    told = [name for name in packages if (house_map.ROOT / name.replace(".", "/")).is_dir()]

    assert [name for name in told if not house_map.purpose(name)] == []


def test_one_word_a_role():
    modules = [
        path.relative_to(house_map.ROOT)
        for house in house_map.HOUSES
        for path in Path(house_map.ROOT / house).rglob("*.py")
    ]

    assert len(modules) > 400
    assert [str(path) for path in modules if path.stem.rpartition("_")[2] in RETIRED] == []


def _classes() -> Iterator[tuple[Path, ast.ClassDef]]:
    """Every class of every module that stands in no other class."""
    for house in house_map.HOUSES:
        for path in Path(house_map.ROOT / house).rglob("*.py"):
            for each in ast.parse(path.read_text()).body:
                if isinstance(each, ast.ClassDef):
                    yield path.relative_to(house_map.ROOT), each


def test_no_name_of_a_class_is_given_twice():
    """Forms apart, and what Django wants to be called so. A class within a class is called by its
    owner's name."""
    found = defaultdict(list)
    for path, each in _classes():
        is_form = any("Form" in ast.unparse(base) for base in each.bases)
        if not is_form and each.name not in {"Command", "Migration"}:
            found[each.name].append(str(path))

    assert len(found) > 700
    assert {name: where for name, where in found.items() if len(where) > 1} == {}


# What is raised beside `shared.kit.refused.Refused`, which says in a sentence why not: these tell
# more than a sentence, or are for our own code and no reader.
OTHER = {
    "AddressTaken", "AlreadyHere", "AlreadyInUse", "AlreadyMade", "Bad", "BackupError",
    "BadData", "CannotOpen", "CodeOver", "CutOff", "DoseError", "FileProblem", "Infeasible",
    "InvitationOver", "LastOwner", "LinkOver", "Lost", "MailRefused", "NoAnswer", "NotAClip",
    "NotOffered", "NotReached", "NotRecordable", "NotTaken", "NothingToSay", "OfferOver", "Refusal",
    "StopOver", "TooMany", "TooManySittings", "Unreachable", "Unreadable", "WrongCode",
}  # fmt: skip


def test_a_refusal_is_one_class():
    found = {
        each.name
        for _, each in _classes()
        if {"ValueError", "Exception", "RuntimeError"} & {ast.unparse(base) for base in each.bases}
    }

    assert {name for name in found if not name.startswith("_")} - {"Refused"} == OTHER


# Whoever sends these is a library, which knows no name of ours to call.
SIGNALS = {
    "shared/people/apps.py: allauth.mfa.signals",
    "shared/people/apps.py: django.db.models.signals",
    "shared/wsgi.py: django.db.backends.signals",
}
# What one act does is told by name, in one place: whoever else wrote these rows would tell nobody.
WRITERS = {"PainNote": "practice/flows/stop.py"}
MAKES = {"create", "bulk_create", "get_or_create", "update_or_create"}
MAKES |= {f"a{name}" for name in MAKES}


def _modules() -> Iterator[tuple[str, ast.Module]]:
    for house in house_map.HOUSES:
        for path in Path(house_map.ROOT / house).rglob("*.py"):
            yield str(path.relative_to(house_map.ROOT)), ast.parse(path.read_text())


def test_no_signals():
    """They miss what is written for many rows at once, and who hears is read nowhere."""
    found = set()
    for path, tree in _modules():
        for each in ast.walk(tree):
            if isinstance(each, ast.ImportFrom):
                names = {each.module, *(f"{each.module}.{name.name}" for name in each.names)}
            elif isinstance(each, ast.Import):
                names = {name.name for name in each.names}
            else:
                continue
            found |= {
                f"{path}: {name}"
                for name in names
                if (name or "").endswith(".signals") or (name or "").startswith("django.dispatch")
                if not name.startswith(house_map.HOUSES)
            }

    assert found == SIGNALS


def test_what_is_told_by_its_writer_has_one_writer():
    found = set()
    for path, tree in _modules():
        for each in ast.walk(tree):
            if not isinstance(each, ast.Call):
                continue
            made = ast.unparse(each.func)
            found |= {(model, path) for model in WRITERS if _may_make(made, model)}

    assert found == set(WRITERS.items())


def _may_make(made: str, model: str) -> bool:
    """Whether this call makes rows of the model: itself, by a manager, or by what it belongs to."""
    *of, how = re.findall(r"\w+", made)
    return how == model or (how in MAKES and not _names(model).isdisjoint(of))


@cache
def _names(model: str) -> set[str]:
    """By what a row is reached: its model, and as what it belongs to another row."""
    (found,) = (each for each in apps.get_models() if each.__name__ == model)
    others = [field.remote_field for field in found._meta.fields if field.remote_field]
    return {model, *(other.related_name for other in others)}


@pytest.mark.parametrize(
    "made",
    ["PainNote", "PainNote.objects.create", "PainNote._default_manager.using('x').bulk_create",
     "models.PainNote", "apps.get_model('care', 'PainNote')", "student.pain_notes.acreate",
     "student.pain_notes.create", "entry.pain_notes.filter(level=1).get_or_create"],
)  # fmt: skip
def test_whoever_makes_such_a_row_is_found(made):
    assert _may_make(made, "PainNote")
    assert not _may_make(made.replace("Pain", "Plain").replace("pain", "plain"), "PainNote")


def test_the_table_of_rules_names_files_and_functions_that_there_are():
    text = (house_map.ROOT / "DEVELOPERS.md").read_text()
    table = text.split("## Where is the rule …")[1].split("\n\n")[1]
    sources = [
        path.relative_to(house_map.ROOT)
        for top in ("coaching", "practice", "shared", "templates")
        for path in (house_map.ROOT / top).rglob("*.*")
        if path.suffix in {".py", ".js", ".html"}
    ]
    lost = []
    for row in table.splitlines()[2:]:
        said = re.findall("`([^`]+)`", row.split("|")[2])
        named = [each for each in said if "." in each]
        files = [path for path in sources if any(f"/{path}".endswith(f"/{n}") for n in named)]
        lost += [each for each in named if not any(f"/{f}".endswith(f"/{each}") for f in files)]
        code = "\n".join((house_map.ROOT / path).read_text() for path in files)
        lost += [
            name
            for name in said
            if name not in named
            and name != "grep"
            and not re.search(rf"(def|class|function) {name}\b|\b{name}\(", code)
        ]
    assert lost == []
