"""A mail server that takes nothing."""

from smtplib import SMTPServerDisconnected

from django.core.mail.backends.base import BaseEmailBackend


class Backend(BaseEmailBackend):
    def send_messages(self, email_messages):
        raise SMTPServerDisconnected("gone")
