"""What the page of one drill shows."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import QuerySet
from django.http import Http404

from practice.drills import dose as doses
from practice.drills import text as words
from practice.drills.models import Caution, Drill, DrillRevision
from practice.drills.queries import cautions_of
from practice.shelf.queries import Use, use_of

MOST_REVISIONS = 30
FACTS = (
    ("setup", "Set-up"),
    ("setup_seated", "Set-up when seated"),
    ("cue", "Cue"),
    ("clean_means", "Counts as clean"),
    ("to_log", "Log"),
    ("go_up", "Raise when"),
    ("go_down", "Lower or stop when"),
    ("equipment", "With"),
    ("places", "Where"),
    ("space", "Space and height"),
)


@dataclass(frozen=True, slots=True)
class Edition:
    """One numbered revision in the list of all."""

    number: int
    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class CautionLine:
    """One version of the drill's caution."""

    version: int
    text: str
    by: str
    at: datetime
    withdrawn_at: datetime | None


@dataclass(frozen=True, slots=True)
class DrillPage:
    """What templates/drills/show.html needs, and nothing else."""

    drill_id: UUID
    name: str
    area: str
    purpose: str
    is_test: bool
    archived: bool
    number: int
    is_current: bool
    dose: str
    dose_words: str
    dose_totals: str
    short_form: str
    short_totals: str
    facts: list[tuple[str, str]]
    rules: list[str]
    swaps: list[str]
    caution: CautionLine | None
    cautions: list[CautionLine]
    editions: list[Edition]
    use: Use


def drill_page(drill: Drill, number: int | None = None) -> DrillPage:
    """The drill as it says now, or as its revision `number` said. Six queries."""
    editions = drill.revisions.select_related("written_by").order_by("-number")
    shown = editions.filter(number=number).first() if number else editions.first()
    if shown is None:
        raise Http404
    cautions = [_caution(caution) for caution in cautions_of(drill)]
    return DrillPage(
        drill_id=drill.pk,
        name=shown.name,
        area=shown.get_area_display(),
        purpose=shown.purpose,
        is_test=drill.is_test,
        archived=drill.archived_at is not None,
        number=shown.number,
        is_current=shown.pk == drill.current_id,
        dose=shown.dose,
        dose_words=_said(shown.dose),
        dose_totals=_totals(shown.dose, shown),
        short_form=shown.short_form,
        short_totals=_totals(shown.short_form, shown),
        facts=_facts(shown, drill.tested_by),
        rules=_rules(shown, is_test=drill.is_test),
        swaps=_names(drill.swaps.filter(archived_at=None)),
        caution=next((line for line in cautions if not line.withdrawn_at), None),
        cautions=cautions,
        editions=[_listed(edition) for edition in editions[:MOST_REVISIONS]],
        use=use_of(drill),
    )


def _facts(shown: DrillRevision, test: Drill | None) -> list[tuple[str, str]]:
    facts = [(label, getattr(shown, name)) for name, label in FACTS if getattr(shown, name)]
    return [*facts, ("Tested by", str(test))] if test else facts


def _said(text: str) -> str:
    try:
        return words.in_words(doses.parse(text))
    except doses.DoseError:
        return text


def _totals(text: str, shown: DrillRevision) -> str:
    try:
        return words.totals(doses.parse(text), shown.seconds_per_rep)
    except doses.DoseError:
        return ""


def _targets(shown: DrillRevision) -> str:
    if not shown.target_order:
        return f"Targets in this order: {shown.targets}."
    tries = f"{shown.target_tries} at each" if shown.target_tries > 1 else "one at each"
    how = "all at one, then the next" if shown.target_order == "blocked" else "mixed"
    number = f" (order {shown.target_seed})" if shown.target_order == "mixed" else ""
    return f"Targets {shown.targets}, {tries}, {how}{number}."


def _rules(shown: DrillRevision, *, is_test: bool) -> list[str]:
    rules = []
    if shown.clean_means and not is_test:
        rules.append(f"Clean line: {shown.clean_line} percent of the reps.")
    if shown.has_stop_rule:
        rules.append("Has a stop rule: stopping by it counts as done in full.")
    if shown.measures:
        rules.append(f"Measured ball by ball: {shown.get_measures_display()}.")
    if shown.targets:
        rules.append(_targets(shown))
    if shown.rest_seconds:
        rules.append(f"At least {shown.rest_seconds} seconds of rest between balls.")
    if shown.min_age:
        rules.append(f"Not under {shown.min_age} years.")
    if not shown.needs_ball:
        rules.append("No ball needed.")
    return rules


def _names(drills: QuerySet[Drill]) -> list[str]:
    return list(drills.order_by("current__name").values_list("current__name", flat=True))


def _caution(caution: Caution) -> CautionLine:
    return CautionLine(
        caution.version,
        str(caution),
        str(caution.written_by or "came with the app"),
        caution.written_at,
        caution.withdrawn_at,
    )


def _listed(edition: DrillRevision) -> Edition:
    by = str(edition.written_by or "came with the app")
    return Edition(edition.number, by, edition.written_at)
