from django.apps import AppConfig


class RemindersConfig(AppConfig):
    name = "coaching.reminders"
    label = "reminders"

    def ready(self) -> None:
        from coaching.reminders import mail, nudges, plan, queries, services, watch
        from coaching.reminders.models import Notice
        from practice.flows import stop, take_back_week
        from practice.phone import push
        from shared.outbox.send import MailKind, carry
        from shared.people import events
        from shared.site import metrics, triggers
        from shared.site.health import tickers

        triggers.known.append(watch.TRIGGERS)
        stop.told_of.append(plan.tell_of_pain)
        take_back_week.told_of.append(services.call_off_week)
        events.looked_at.append(services.opened)
        tickers.append(plan.RULES)
        carry(MailKind(Notice, plan.objection, mail.build, nudge=nudges.of, gone=push.gone))
        metrics.sources.append(queries.gauges)
        events.house_findings.append(queries.mails_in_trouble)
