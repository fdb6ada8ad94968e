"""The choice of the address by which phones reach this machine."""

from typing import Any
from urllib.parse import urlsplit

from django import forms
from django.conf import settings

from shared.site import environment as env
from shared.site import reach
from shared.site.reach import SiteAddress

HERE, OWN_NAME = "here", "name"
SET_AT_START = (
    "HOST or TLS was set at the start of this machine: that goes first."
    " Start it without them to choose this one."
)


class AddressChoice(forms.Form):
    """This machine's addresses, each with its own certificate or without; or a name with TLS."""

    choice = forms.ChoiceField(
        label="Phones open",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose one of these.", "invalid_choice": "Choose again."},
    )
    name = forms.CharField(
        label="A name of your own with TLS",
        required=False,
        max_length=200,
        help_text="As in https://practice.example.org, with a proxy that has its certificate.",
        widget=forms.TextInput(attrs={"inputmode": "url", "autocomplete": "off"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.offers = offers()
        choice: Any = self.fields["choice"]
        choice.choices = [(key, words) for key, (words, _) in self.offers.items()]
        at = {reach_.url: key for key, (_, reach_) in self.offers.items()}
        choice.initial = at.get(settings.SITE_URL, OWN_NAME if settings.HTTPS else HERE)
        if choice.initial == OWN_NAME:
            self.fields["name"].initial = settings.SITE_URL

    @property
    def may_choose(self) -> bool:
        """Whether the page decides: what stands in the environment goes before it."""
        return not (settings.PRODUCTION or env.text("SITE_URL"))

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        choice = said.get("choice")
        if choice == OWN_NAME:
            said["name"] = self._own_name(said.get("name", ""))
        elif choice and choice != HERE:
            host = urlsplit(self.offers[choice][1].url).hostname or ""
            if words := reach.trouble(host, reach.own_addresses()):
                self.add_error("choice", words)
        if choice and not self.errors and reach.by(self._chosen(said)) != self._chosen(said):
            self.add_error("choice", SET_AT_START)
        return said

    def _own_name(self, typed: str) -> str:
        url = typed.strip().rstrip("/")
        if "://" not in url:
            url = f"https://{url}"
        host = _host_of(url)
        if not host:
            self.add_error("name", "Write it like https://practice.example.org")
        elif words := reach.trouble(host, reach.own_addresses()):
            self.add_error("name", words)
        return url

    def reach(self) -> SiteAddress:
        return self._chosen(self.cleaned_data)

    def _chosen(self, said: dict[str, Any]) -> SiteAddress:
        if said["choice"] == OWN_NAME:
            return SiteAddress(said["name"], reach.THIS_MACHINE)
        return self.offers[said["choice"]][1]


def _host_of(url: str) -> str:
    """The host of an https address that is nothing but host and port; empty for any other.

    The settings read what is kept: one that they could not read would let nothing start again.
    """
    try:
        parts = urlsplit(url)
        port = f":{parts.port}" if parts.port else ""
    except ValueError:
        return ""
    name = parts.hostname or ""
    written = f"[{name}]" if ":" in name else name
    return name if url.lower() == f"https://{written}{port}" else ""


def offers() -> dict[str, tuple[str, SiteAddress]]:
    """What may be chosen, best first: key, words, and what would be kept."""
    found: dict[str, tuple[str, SiteAddress]] = {}
    hosts = reach.own_hosts()
    for host in filter(reach.is_private, hosts):
        url = reach.own_url(host, reach.OWN_CERTIFICATE)
        words = f"{url}: encrypted, works without signal; each phone is led through trusting it"
        found[f"tls-{host}"] = words, SiteAddress(url, reach.EVERYWHERE[0], reach.OWN_CERTIFICATE)
    for host in hosts:
        url = reach.own_url(host, "")
        words = f"{url}: not encrypted; no practice without signal"
        found[f"plain-{host}"] = words, SiteAddress(url, reach.EVERYWHERE[0])
    found[OWN_NAME] = "A name of your own with TLS, written below", SiteAddress("")
    only = SiteAddress(reach.own_url("localhost", ""))
    found[HERE] = f"{only.url}: this machine alone, no phones", only
    return found
