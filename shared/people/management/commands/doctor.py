"""Look a running installation over, and say what to mend."""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandParser

from shared import checkup, outside


class Command(BaseCommand):
    help = (
        "Check settings, database, workers, mail and storage, and try what a stranger would on the"
        " running site. Fails if something is to be mended."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--url", default=settings.SITE_URL, help="where this machine reaches the site"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        found = [*outside.findings(options["url"]), *checkup.findings()]
        found.sort(key=lambda finding: finding.is_well)
        for finding in found:
            self.stdout.write(
                f"{'well' if finding.is_well else 'MEND'}  {finding.about}: {finding.words}"
            )
            if finding.mend:
                self.stdout.write(f"      {finding.mend}")
        if not all(finding.is_well for finding in found):
            raise SystemExit(1)
