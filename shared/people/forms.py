"""What people may write about themselves, their studio and their students."""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django import forms
from django.conf import settings
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.utils import timezone

from shared.people import access, first_run
from shared.people.fields import validate_time_zone
from shared.people.models import (
    ADULT_AGE,
    Guardianship,
    Invitation,
    Student,
    Studio,
    User,
)

HANDS = [("right", "Right-handed"), ("left", "Left-handed")]
YOUNGEST = 3


class TimeZoneInput(forms.CharField):
    """The name of a time zone; the page offers the browser's own where it is new."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("label", "Time zone")
        kwargs.setdefault("help_text", "A place on your clock, such as Europe/London.")
        kwargs.setdefault("max_length", 64)
        super().__init__(validators=[validate_time_zone], **kwargs)
        self.widget.attrs |= {"list": "time-zones", "autocomplete": "off", "data-zone": ""}


class NameField(forms.CharField):
    """One line: what was pasted with line breaks or runs of blanks is closed up."""

    def to_python(self, value: Any) -> str:
        return " ".join((super().to_python(value) or "").split())


def name_field(label: str) -> forms.CharField:
    return NameField(label=label, max_length=80)


def hand_field() -> forms.ChoiceField:
    return forms.ChoiceField(
        label="Plays", choices=HANDS, widget=forms.RadioSelect, initial="right"
    )


class StudioForm(forms.ModelForm):
    """What the owner may change about the studio."""

    time_zone = TimeZoneInput(label="Time zone of the studio")
    passkeys = forms.BooleanField(
        label="Everybody who works here needs a passkey",
        help_text="Each of them has a week to add one. Students and guardians are not asked.",
        required=False,
    )

    class Meta:
        model = Studio
        fields = (
            "name",
            "time_zone",
            "first_weekday",
            "safeguarding_contact",
            "reply_time",
            "bays_checked_on",
        )
        labels = {
            "name": "Name of the studio",
            "first_weekday": "The week starts on",
            "safeguarding_contact": "Who to call about a child’s safety",
            "reply_time": "How soon coaches answer",
            "bays_checked_on": "Bays looked over on",
        }
        help_texts = {
            "safeguarding_contact": "A name and a number. Students and guardians see it.",
            "bays_checked_on": (
                "Screen or net, mat, room to swing beside others, ceiling. The maker’s instructions"
                " and local codes decide."
            ),
        }
        widgets = {"bays_checked_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["passkeys"].initial = self.instance.passkeys_since is not None

    def clean_bays_checked_on(self) -> date | None:
        day: date | None = self.cleaned_data["bays_checked_on"]
        if day is not None and day > timezone.localdate() + timedelta(days=1):
            raise forms.ValidationError("That day is still to come.")
        return day


def set_up_code_field() -> forms.CharField:
    return forms.CharField(
        label="Set-up code",
        max_length=40,
        help_text="It stands in the server’s log; “manage.py setup_code” says it too.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )


class FirstStudioForm(forms.ModelForm):
    """The studio and its owner, on an empty installation."""

    time_zone = TimeZoneInput(label="Time zone of the studio")
    owner_name = name_field("Your name")
    email = forms.EmailField(label="Your e-mail", max_length=254)
    password = forms.CharField(
        label="Password",
        help_text="Ten characters or more. A few words in a row are good.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        strip=False,
        max_length=256,
    )

    class Meta:
        model = Studio
        fields = ("name", "time_zone", "first_weekday")
        labels = {"name": "Name of the studio", "first_weekday": "The week starts on"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["owner_name"].widget.attrs["autocomplete"] = "name"
        self.fields["email"].widget.attrs["autocomplete"] = "email"
        if first_run.set_up_code():
            self.fields = {"set_up_code": set_up_code_field()} | self.fields

    def clean_set_up_code(self) -> str:
        typed: str = self.cleaned_data["set_up_code"]
        if not first_run.is_set_up_code(typed):
            raise ValidationError(
                "That is not the code. The server’s log shows it, and so does"
                " “manage.py setup_code”."
            )
        return typed

    def clean(self) -> dict[str, Any]:
        said = self.cleaned_data
        said.pop("set_up_code", None)
        user = User(email=said.get("email", ""), name=said.get("owner_name", ""))
        try:
            validate_password(said.get("password", ""), user)
        except ValidationError as error:
            if "password" in said:
                self.add_error("password", error)
        return said


class AdultForm(forms.Form):
    """A student of 18 or over. Has no field for an age: a minor cannot be entered here."""

    name = name_field("Name")
    email = forms.EmailField(
        label="E-mail",
        max_length=254,
        required=False,
        help_text="Leave it empty to show the invitation on your screen only.",
    )
    hand = hand_field()
    plays_seated = forms.BooleanField(label="Plays seated", required=False)
    is_adult = forms.BooleanField(
        label="This student is 18 or over",
        error_messages={
            "required": "Tick this for an adult. For a child choose Under 18 above. The guardian "
            "then enters the child."
        },
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].widget.attrs["autofocus"] = True


class AnotherInvitationForm(forms.Form):
    """Into a place that is still free: to the same address, or to the right one."""

    email = forms.EmailField(label="E-mail of the student", max_length=254, required=False)


class GuardianInvitationForm(forms.Form):
    """All that may be asked before a guardian has consented: the guardian."""

    name = name_field("The guardian’s name")
    email = forms.EmailField(label="The guardian’s e-mail", max_length=254)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].widget.attrs["autofocus"] = True


class BirthdayForm(forms.Form):
    """The day of turning 18, in the year in which that is."""

    day = forms.DateField(
        label="The birthday",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": "Give the day.", "invalid": "Give a day, as 2031-05-17."},
    )

    def __init__(self, *args: Any, student: Student, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["day"] = student.turns_18_on
        self.year = (student.born_year or 0) + ADULT_AGE

    def clean_day(self) -> date:
        day: date = self.cleaned_data["day"]
        if day.year != self.year:
            raise ValidationError(f"The 18th birthday is in {self.year}.")
        return day


class GrownForm(forms.Form):
    """A grown child's own consent, and which guardians may read on."""

    record = forms.BooleanField(
        label="I am 18 or over, and the studio keeps my practice record",
        help_text=(
            "It keeps your name, your hand and the weeks your coach sets. It keeps what you log, "
            "notes and pain too. Coaches read it, and of pain only what they need. You can have "
            "all of it erased."
        ),
        error_messages={
            "required": "Tick this to go on. To have it erased instead, use the link below."
        },
    )

    def __init__(self, *args: Any, ties: Sequence[Guardianship], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if ties:
            self.fields["readers"] = forms.MultipleChoiceField(
                label="Who may read on",
                choices=[(str(tie.pk), str(tie.user)) for tie in ties],
                widget=forms.CheckboxSelectMultiple,
                required=False,
                help_text="They read, and change nothing. You can end it at any time.",
            )

    def readers(self) -> set[UUID]:
        return {UUID(tie) for tie in self.cleaned_data.get("readers", ())}


class NeedForm(forms.Form):
    why = NameField(
        label="Why do you need to read it?",
        max_length=120,
        help_text="As “I take over the lessons in March”. The owner and the guardian read it.",
        error_messages={"required": "Say why, as “I take over the lessons in March”."},
    )


class ConfirmChildForm(forms.Form):
    knows = forms.BooleanField(
        label="I have met this guardian or spoken to them, and the child is theirs",
        error_messages={
            "required": "Meet or call the guardian first. Take a number that is not from this "
            "page. Then tick this."
        },
    )


class StaffInvitationForm(forms.Form):
    kind = forms.ChoiceField(
        label="As",
        choices=[
            (Invitation.Kind.COACH, "Coach: sets weeks, sees everything of the students"),
            (Invitation.Kind.ASSISTANT, "Assistant coach: sees and writes, sets no weeks"),
            (Invitation.Kind.HELPER, "Strength coach: sees days and limits, no notes"),
        ],
        widget=forms.RadioSelect,
        initial=Invitation.Kind.COACH,
    )
    name = name_field("Name")
    email = forms.EmailField(
        label="E-mail", max_length=254, help_text="Only this address can take the invitation up."
    )


class StudentForm(forms.ModelForm):
    """What a coach may change. Not the year of birth: that is the guardian's to say."""

    time_zone = TimeZoneInput()

    class Meta:
        model = Student
        fields = (
            "name",
            "phone",
            "hand",
            "plays_seated",
            "time_zone",
            "lead_coach",
            "next_lesson",
            "next_event",
            "next_event_name",
            "goal",
            "strength_coaches",
        )
        labels = {
            "hand": "Plays",
            "plays_seated": "Plays seated",
            "lead_coach": "Lead coach",
            "next_lesson": "Next lesson",
            "next_event": "Next event",
            "next_event_name": "Name of the event",
            "goal": "Aim, in the student’s words",
            "strength_coaches": "Strength coach",
        }
        help_texts = {
            "lead_coach": "Reads of pain. Who it concerns is told of a change by mail.",
            "phone": "For a child, of the guardian to call. Shown on the call list.",
            "strength_coaches": "Sees gym days, hard golf and limits of this student. Sees no "
            "notes.",
        }
        widgets = {
            "phone": forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
            "next_lesson": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "next_event": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "strength_coaches": forms.CheckboxSelectMultiple,
        }

    def __init__(self, *args: Any, may_hand_over: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lead: Any = self.fields["lead_coach"]
        lead.empty_label = None
        lead.queryset = access.planners_in(self.instance.studio)
        lead.disabled = not may_hand_over
        if lead.disabled:
            lead.queryset = User.objects.filter(pk=self.instance.lead_coach_id)
            lead.help_text = "The lead coach or the owner hands over."
        lead.choices = _read_once(lead)
        strength: Any = self.fields["strength_coaches"]
        strength.queryset = access.strength_coaches_in(self.instance.studio)
        strength.choices = _read_once(strength)
        if not strength.choices:
            del self.fields["strength_coaches"]


def _read_once(field: Any) -> list[tuple[Any, str]]:
    """The choices of a field of rows: a widget would ask for them at each look."""
    return [(row.pk, str(row)) for row in field.queryset]


class AddressForm(forms.Form):
    """Whose invitation it is. One that names an address is for that address only."""

    email = forms.EmailField(
        label="Your e-mail",
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )

    def __init__(self, *args: Any, only: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.only = only

    def clean_email(self) -> str:
        email: str = self.cleaned_data["email"].strip().lower()
        if self.only and email != self.only:
            raise ValidationError(
                "This invitation was made for another address. Ask for one to yours."
            )
        return email


class CodeForm(forms.Form):
    code = forms.RegexField(
        r"^\s*[0-9]{3}\s?[0-9]{3}\s*$",
        label="Code",
        error_messages={"invalid": "The code is six digits."},
        widget=forms.TextInput(
            attrs={"inputmode": "numeric", "autocomplete": "one-time-code", "maxlength": 9}
        ),
    )

    def clean_code(self) -> str:
        return "".join(self.cleaned_data["code"].split())


class JoinStudentForm(forms.Form):
    time_zone = TimeZoneInput()
    is_adult = forms.BooleanField(
        label="I am 18 or over",
        error_messages={
            "required": "If you are under 18, ask your coach to invite your guardian instead."
        },
    )


class JoinGrownForm(GrownForm):
    """For somebody who was a child here and has no sign-in yet."""

    time_zone = TimeZoneInput()


class JoinStaffForm(forms.Form):
    name = name_field("Your name")
    time_zone = TimeZoneInput()


class ConsentForm(forms.Form):
    """Each purpose by itself; only the record is needed for a place."""

    record = forms.BooleanField(
        error_messages={
            "required": "Without the practice record there is no place, and nothing is stored."
        },
    )
    messages = forms.BooleanField(required=False)
    clips = forms.BooleanField(required=False)

    def agreed(self) -> dict[str, bool]:
        return {name: self.cleaned_data[name] for name in ("messages", "clips")}


class ChangeConsentForm(ConsentForm):
    record = forms.BooleanField(required=False)


class OtherGuardianForm(ConsentForm):
    """Another guardian of a child who has a place already."""

    guardian_name = name_field("Your name")
    time_zone = TimeZoneInput()


class TakeOffForm(forms.Form):
    why = NameField(
        label="Why",
        max_length=200,
        help_text="All guardians read it, this one too. Where a court decides, name the decision.",
        error_messages={"required": "Say why, in a sentence the guardians may read."},
    )


class ChildForm(ConsentForm):
    """The child, as its guardian enters it, together with the consent it rests on."""

    guardian_name = name_field("Your name")
    name = name_field("Your child’s name")
    born_year = forms.IntegerField(
        label="Year of birth", help_text="Only the year.", widget=forms.NumberInput()
    )
    hand = hand_field()
    plays_seated = forms.BooleanField(label="Plays seated", required=False)
    time_zone = TimeZoneInput(label="Your child’s time zone")

    def __init__(self, *args: Any, this_year: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.this_year = this_year

    def clean_born_year(self) -> int:
        year: int = self.cleaned_data["born_year"]
        if not self.this_year - ADULT_AGE <= year <= self.this_year - YOUNGEST:
            raise ValidationError(
                f"From {self.this_year - ADULT_AGE} to {self.this_year - YOUNGEST}."
                " Somebody of 18 or over is invited by themselves."
            )
        return year

    @property
    def child(self) -> dict[str, Any]:
        names = ("name", "born_year", "hand", "plays_seated", "time_zone")
        return {name: self.cleaned_data[name] for name in names}


class SettingsForm(forms.ModelForm):
    """One's own name, clock and units; the language where there is a choice."""

    time_zone = TimeZoneInput()

    class Meta:
        model = User
        fields = ("name", "time_zone", "distance_unit", "speed_unit", "mass_unit", "language")
        labels = {
            "name": "Your name",
            "distance_unit": "Distances in",
            "speed_unit": "Speeds in",
            "mass_unit": "Weights in",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].required = True
        if len(settings.LANGUAGES) < 2:
            del self.fields["language"]
        else:
            self.fields["language"] = forms.ChoiceField(choices=settings.LANGUAGES)
