"""Fields of forms as Django's own templates print them, without those: they take ten times as long.

Only the plain ones; whatever has another template is printed by that.
"""

from collections.abc import Callable, Mapping
from html import escape
from typing import Any

from django.forms.renderers import DjangoTemplates
from django.template import Context
from django.template.base import render_value_in_context
from django.utils.safestring import SafeData, mark_safe

_WIDGETS = "django/forms/widgets"
_OPTION = f"{_WIDGETS}/select_option.html"
_CONTEXT = Context()


class PlainFields(DjangoTemplates):
    def render(self, template_name: str, context: dict[str, Any], request: Any = None) -> str:
        way = _WAYS.get(template_name)
        made = way(context) if way else None
        if made is None:
            return str(super().render(template_name, context, request))
        return mark_safe(made.strip())  # noqa: S308 (escaped as the templates do)


def _said(value: Any) -> str:
    """As `{{ value }}`."""
    said: str = render_value_in_context(value, _CONTEXT)
    return said


def _text(value: Any) -> str:
    """As `{{ value|stringformat:'s' }}`."""
    return str(value) if isinstance(value, SafeData) else escape(str(value))


def _attrs(attrs: Mapping[str, Any]) -> str:
    return "".join(
        f" {_said(name)}" if value is True else f' {_said(name)}="{_text(value)}"'
        for name, value in attrs.items()
        if value is not False
    )


def _input(context: Mapping[str, Any]) -> str:
    widget = context["widget"]
    value = widget["value"]
    given = "" if value is None else f' value="{_text(value)}"'
    kind, name = _said(widget["type"]), _said(widget["name"])
    return f'<input type="{kind}" name="{name}"{given}{_attrs(widget["attrs"])}>\n'


def _choice(context: Mapping[str, Any]) -> str:
    """A radio button or a box of several, in its label."""
    widget = context["widget"]
    if not widget["wrap_label"]:
        return _input(context)
    at = widget["attrs"].get("id")
    label = f'<label for="{_said(at)}">' if at else "<label>"
    return f"{label}{_input(context)} {_said(widget['label'])}</label>\n"


def _textarea(context: Mapping[str, Any]) -> str:
    widget = context["widget"]
    inside = _said(widget["value"]) if widget["value"] else ""
    name = _said(widget["name"])
    return f'<textarea name="{name}"{_attrs(widget["attrs"])}>\n{inside}</textarea>\n'


def _select(context: Mapping[str, Any]) -> str | None:
    widget = context["widget"]
    made = [f'<select name="{_said(widget["name"])}"{_attrs(widget["attrs"])}>']
    for group, options, _ in widget["optgroups"]:
        if group:
            made.append(f'\n  <optgroup label="{_said(group)}">')
        for option in options:
            if option["template_name"] != _OPTION:
                return None
            value, attrs = _text(option["value"]), _attrs(option["attrs"])
            made.append(f'\n  <option value="{value}"{attrs}>{_said(option["label"])}</option>\n')
        if group:
            made.append("\n  </optgroup>")
    return "".join([*made, "\n</select>\n"])


def _label(context: Mapping[str, Any]) -> str:
    label = _said(context["label"])
    if not context["use_tag"]:
        return label
    tag = _said(context["tag"])
    return f"<{tag}{_attrs(context['attrs'] or {})}>{label}</{tag}>\n"


def _no_errors(context: Mapping[str, Any]) -> str | None:
    return None if context["errors"] else ""


_WAYS: dict[str, Callable[[Mapping[str, Any]], str | None]] = {
    **{
        f"{_WIDGETS}/{kind}.html": _input
        for kind in (
            "input", "text", "number", "email", "url", "password", "hidden", "date", "datetime",
            "time", "checkbox",
        )
    },
    **{f"{_WIDGETS}/{kind}_option.html": _choice for kind in ("radio", "checkbox")},
    f"{_WIDGETS}/textarea.html": _textarea,
    f"{_WIDGETS}/select.html": _select,
    "django/forms/label.html": _label,
    "django/forms/errors/list/default.html": _no_errors,
}  # fmt: skip
