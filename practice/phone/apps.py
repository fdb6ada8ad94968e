from django.apps import AppConfig


class PhoneConfig(AppConfig):
    name = "practice.phone"
    label = "phone"

    def ready(self) -> None:
        """Keys end with the sign-in that gave them, and others' with the childhood."""
        from practice.phone.keys import end_at_sign_out, end_elsewhere
        from shared.people import events

        events.signing_out.append(end_at_sign_out)
        events.took_over.append(end_elsewhere)
