"""Make the weekly tallies anew from the raw logs, or check them against the logs."""

from argparse import ArgumentParser
from typing import Any
from uuid import UUID

from django.core.management.base import CommandError

from practice.compliance.rebuild import differences, rebuild
from shared.people.models import Student
from shared.site.own_command import OwnCommand

BATCH = 200


class Command(OwnCommand):
    help = (
        "Rebuild every weekly tally from the logs; --check only compares, and fails if any differ."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--student", type=UUID, help="only this student, by id")
        parser.add_argument("--check", action="store_true", help="change nothing, list differences")

    def handle(self, *args: object, **options: Any) -> None:
        students = Student.objects.select_related("studio").order_by("pk")
        if options["student"]:
            students = students.filter(pk=options["student"])
        total = students.count()
        if options["student"] and not total:
            raise CommandError("There is no student with this id.")
        work = self._check if options["check"] else rebuild
        found = 0
        for number, student in enumerate(students.iterator(chunk_size=BATCH), start=1):
            found += work(student)
            self._say_progress(number, total)
        if options["check"] and found:
            raise CommandError(f"{found} differences. Rebuild without --check to put them right.")
        said = (
            "Every tally says what the logs say." if options["check"] else f"{found} tallies made."
        )
        self.stdout.write(said)

    def _check(self, student: Student) -> int:
        found = list(differences(student))
        for difference in found:
            self.stdout.write(str(difference))
        return len(found)

    def _say_progress(self, number: int, total: int) -> None:
        if number % BATCH == 0 or number == total:
            self.stderr.write(f"{number} of {total} students")
