from django.apps import AppConfig
from django.core.checks import register


class PeopleConfig(AppConfig):
    name = "shared.people"
    label = "people"

    def ready(self) -> None:
        from allauth.mfa.models import Authenticator
        from allauth.mfa.signals import authenticator_used
        from django.db.models.signals import post_delete

        from shared.outbox.send import MailKind, address_refused, carry
        from shared.people import (
            events,
            house_findings,
            invitation_mail,
            lost_passkey,
            undelivered,
        )
        from shared.people.checks import check_returned, check_sqlite
        from shared.people.models import AccountMail
        from shared.site import metrics
        from shared.site.own_command import INSTALLATION

        post_delete.connect(lost_passkey.note_gone, sender=Authenticator)
        authenticator_used.connect(lost_passkey.tell_codes_left)
        register(check_sqlite, INSTALLATION)
        register(check_returned, INSTALLATION)
        # Before all others: somebody waits for it.
        carry(MailKind(AccountMail, invitation_mail.objection, invitation_mail.build, urgency=1))
        address_refused.append(undelivered.refused)
        metrics.sources.append(house_findings.gauges)
        events.house_findings += [
            house_findings.consents, house_findings.of_those_who_work_here,
        ]  # fmt: skip
