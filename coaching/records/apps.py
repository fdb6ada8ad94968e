from django.apps import AppConfig


class RecordsConfig(AppConfig):
    name = "coaching.records"
    label = "records"

    def ready(self) -> None:
        from coaching.records import asking, ends, findings, retention
        from coaching.records.erase import erase_again
        from shared.backups.services import brought_back
        from shared.people import events

        brought_back += [erase_again, ends.end_after_restore, asking.wait_anew]
        events.house_findings.append(findings.erasures)
        events.how_long += [rule.words for rule in retention.RULES]
