"""The forms that the fields of an act take: text, figures, instants, and references to things in the registry."""

import re
from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal, InvalidOperation
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, PlainSerializer
from pydantic_core import PydanticCustomError

from registry.domain.attachments import KINDS, MOST_FILES, clean_name, is_hash
from registry.domain.texts import cannot_be_kept
from registry.domain.times import read_day, read_instant, write_rfc3339

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff]")
_CONTROL_BUT_LINES = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff]")
_UUID7 = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}", re.ASCII)
_FIGURE = re.compile(r"[+-]?\d{1,15}(\.\d{1,9})?", re.ASCII)


def wrong(sentence: str) -> PydanticCustomError:
    """A shape fault whose sentence reaches the person as it is."""
    return PydanticCustomError("told", "{sentence}", {"sentence": sentence})


class Reference:
    """Marks a text field as a reference to one kind of thing; the door finds its id.

    `evidence` says that the scan proves where the thing is: a numbered copy of a label does not.
    """

    def __init__(self, kind: str, evidence: bool = False):
        self.kind = kind
        self.evidence = evidence


class Shape:
    """Marks what kind of text a field holds, for the forms made from acts."""

    def __init__(self, name: str):
        self.name = name


class BlankRows:
    """Marks a list of rows with how many blank ones its form shows."""

    def __init__(self, count: int):
        self.count = count


def _line(most: int, allowed: re.Pattern[str] = _CONTROL) -> Any:
    def check(value: Any) -> str:
        if not isinstance(value, str):
            raise wrong("This is text: send it in quotes.")
        value = value.strip()
        if not value:
            raise wrong("This is empty. Leave it out or fill it in.")
        if len(value) > most:
            raise wrong(f"This is {len(value):,} characters long; at most {most:,} are kept.")
        if found := allowed.search(value):
            raise wrong(f"This holds a control character (U+{ord(found[0]):04X}). Take it out.")
        if cannot_be_kept(value):
            raise wrong("This holds half a character, which cannot be kept. Type it again.")
        return value

    return BeforeValidator(check)


def _label(value: Any) -> str:
    """What a scanner read: kept as received, control characters and all, within reason."""
    if not isinstance(value, str):
        raise wrong("This is the text of a label: send it in quotes.")
    if not value.strip():
        raise wrong("Nothing was read. Scan again.")
    if len(value) > 1000:
        raise wrong(f"This is {len(value):,} characters long; no label holds more than 1,000.")
    if cannot_be_kept(value):
        raise wrong("The text holds characters no label has. Scan again.")
    return value


def _instant(value: Any) -> datetime:
    if isinstance(value, datetime):
        return value
    if not isinstance(value, str):
        raise wrong("This is an instant: send text like 2026-05-04T09:12:00+02:00.")
    try:
        return read_instant(value)
    except ValueError as problem:
        raise wrong(str(problem)) from None


def _day(value: Any) -> str:
    if not isinstance(value, str):
        raise wrong("This is a day: send text like 2026-05-04.")
    try:
        return read_day(value)
    except ValueError as problem:
        raise wrong(str(problem)) from None


def _figure(value: Any) -> str:
    """A decimal as text, without exponent and without needless sign, so that both engines keep the same digits."""
    if isinstance(value, bool) or not isinstance(value, (str, int, Decimal)):
        raise wrong('This is a figure: send it as text, like "7.2", so that no digit is lost.')
    text = str(value).strip().replace("\u2212", "-")
    if not _FIGURE.fullmatch(text):
        raise wrong(f"{text[:40]!r} is not a figure. Write digits with a point, like 7.2.")
    try:
        figure = Decimal(text)
    except InvalidOperation:
        raise wrong(f"{text[:40]!r} is not a figure. Write digits with a point, like 7.2.") from None
    return format(abs(figure) if figure == 0 else figure, "f")


def _act_id(value: Any) -> str:
    if not isinstance(value, str) or not _UUID7.fullmatch(value):
        raise wrong("An act’s id is a UUID of version 7 in lower case.")
    return value


def within(least: str | None = None, most: str | None = None, above: str | None = None) -> AfterValidator:
    """Bounds of a figure, as its own unit has them."""

    def check(value: str) -> str:
        figure = Decimal(value)
        if least is not None and figure < Decimal(least):
            raise wrong(f"{value} is too low; the least that makes sense is {least}.")
        if above is not None and figure <= Decimal(above):
            raise wrong(f"{value} is too low; it must be more than {above}.")
        if most is not None and figure > Decimal(most):
            raise wrong(f"{value} is too high; the most that makes sense is {most}.")
        return value

    return AfterValidator(check)


ActId = Annotated[str, BeforeValidator(_act_id)]
When = Annotated[datetime, BeforeValidator(_instant), PlainSerializer(write_rfc3339, when_used="json"), Shape("when")]
DayText = Annotated[str, BeforeValidator(_day), Shape("day")]
FigureText = Annotated[str, BeforeValidator(_figure), Shape("figure")]
Line = Annotated[str, _line(200)]
Words = Annotated[str, _line(4000, _CONTROL_BUT_LINES), Shape("long")]
LabelText = Annotated[str, BeforeValidator(_label)]


def _reference(kind: str, evidence: bool = False) -> Any:
    return Annotated[str, BeforeValidator(_label), Reference(kind, evidence)]


HalfRef = _reference("half")
#: A half whose own label is scanned where it sits or as it is held.
SeatedHalfRef = _reference("half", evidence=True)
PairRef = _reference("pairing")
TypeRef = _reference("unit_type")
SiteRef = _reference("site")
StationRef = _reference("station")
MeterRef = _reference("meter")
VehicleRef = _reference("vehicle")
HousingRef = _reference("housing")
BayRef = _reference("bay")
PersonRef = _reference("person")
SignoffRef = _reference("esd_signoff")
HoldRef = _reference("hold")
AcceptanceRef = _reference("acceptance")
DiscrepancyRef = _reference("discrepancy")
RecheckRef = _reference("recheck")
DeliveryRef = _reference("delivery")
CartonRef = _reference("carton")
BenchMarkRef = _reference("bench_mark")
VerificationRef = _reference("verification")
AuditRef = _reference("audit")
LoanRef = _reference("loan")
CrossingRef = _reference("crossing")
AuditLineRef = _reference("audit_line")
ContractRef = _reference("contract_term")
MissionRef = _reference("mission")
ImpactRef = _reference("impact")
ImpactLineRef = _reference("impact_line")
RemovalRef = _reference("removal")
CalibrationRef = _reference("calibration")
ActRef = _reference("act")


class Choices:
    """Marks a field whose value is one of a few words, with what people read for each.

    `unset` says that a form may not choose for anybody: it shows none until one is chosen.
    """

    def __init__(self, labels: dict[str, str], unset: bool = False):
        self.labels = labels
        self.unset = unset


def one_from(labels: dict[str, str], *, unset: bool = False) -> Any:
    """The form of a field that is one of the keys of `labels`."""
    return Annotated[Literal[*labels], Choices(labels, unset)]


def _hash(value: Any) -> str:
    if not isinstance(value, str) or not is_hash(value):
        raise wrong("This is the SHA-256 of a file: 64 hexadecimal digits in lower case.")
    return value


def _file_name(value: Any) -> str:
    if not isinstance(value, str) or clean_name(value) != value:
        raise wrong("This is no name of a file as the registry shows it. Send the name it answered with.")
    return value


class FileGiven(BaseModel):
    """A file that was sent before, as the registry answered it. Its bytes are no part of the act."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    sha256: Annotated[str, BeforeValidator(_hash)] = Field(title="SHA-256")
    size: Annotated[int, Field(ge=1, lt=2**31)] = Field(title="Bytes")
    media_type: one_from({media_type: kind.words for media_type, kind in KINDS.items()}) = Field(title="Media type")
    name: Annotated[str, BeforeValidator(_file_name)] = Field(title="Name of the file")


#: Files an act brings along; `Photos` are taken on the spot, so a page offers the camera, too.
FileList = Annotated[list[FileGiven], Field(max_length=MOST_FILES)]
Photos = Annotated[list[FileGiven], Field(max_length=MOST_FILES), Shape("photos")]


def shape_of(marks: Iterable[Any]) -> str | None:
    """`when`, `day`, `figure` or `long`, for a field with one of these marks."""
    return next((mark.name for mark in marks if isinstance(mark, Shape)), None)
